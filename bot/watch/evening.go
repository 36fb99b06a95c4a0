package watch

import (
	"slices"
	"strings"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/storage"
)

const (
	// eveningGrace is how late that may be: told in the night it disturbs, and
	// it would speak of the day that has begun.
	eveningGrace = 3 * time.Hour
	// eveningPasses is how many passes of a day are told, where no more are armed, and
	// eveningArmed how many of those.
	eveningPasses = 6
	eveningArmed  = 8
)

// nextEvening is the first moment after another at which the clocks of a zone
// show a full hour, one each day of the calendar: where they are put forward
// over that hour it is the moment they are.
func nextEvening(after time.Time, hour int, loc *time.Location) time.Time {
	y, m, d := after.In(loc).Date()
	for {
		if at := time.Date(y, m, d, hour, 0, 0, 0, loc); at.After(after) {
			return at.UTC()
		}
		d++
	}
}

// planEvening puts the next evening on the agenda. One that is due and not
// handled yet stays.
func (p Planner) planEvening() {
	if p.Op.Remind.Off || p.Op.Remind.Evening == 0 {
		p.Off(MomentEvening, "")
		return
	}
	if p.Op.Evened.IsZero() {
		p.Op.Evened = p.Now()
	}
	since := timing.Later(p.Op.Evened, p.Now().Add(-eveningGrace))
	p.At(MomentEvening, nextEvening(since, p.Op.Remind.Evening, p.Local()), "")
}

// Evening tells the passes of the next day, silently, and nothing where
// there are none.
func (p Teller) Evening(at time.Time) {
	p.Op.Evened = at
	p.Replan()
	if p.Op.Remind.Off || p.Op.Remind.Evening == 0 || p.Now().Sub(at) > eveningGrace {
		return
	}
	p.askOver()
	date := tx.NextDay(tx.StartOfDay(at, p.Local()), p.Local())
	if text, buttons := p.eveningList(date); text != "" {
		p.Put(storage.Post{
			Name: p.Name("evening", date.In(p.Local()).Format(time.DateOnly)), Class: storage.ClassCard,
			Text: text, Buttons: buttons, NotAfter: date.Add(tx.Day),
		})
	}
}

// eveningPlace is the place that all passes are seen from, or else the one set.
func eveningPlace(passes []storage.Pass, own storage.Place) storage.Place {
	first := passes[0].Place
	if slices.ContainsFunc(passes, func(pass storage.Pass) bool { return !choice.SamePlace(pass.Place, first) }) {
		return own
	}
	return first
}

// eveningDate is when the day begins that a post tells of, if it is such a post.
func (p Teller) eveningDate(name string) (time.Time, bool) {
	_, text, ok := strings.Cut(name, "/"+MomentEvening+"/")
	date, err := time.ParseInLocation(time.DateOnly, text, p.Local())
	return date.UTC(), ok && err == nil
}

// eveningList is the text and the buttons for the local day that begins at a
// moment: of the passes that are armed, or were skipped by hand, and of the best others
// that one could be reminded of; the text is empty where nothing is worth telling.
func (p Teller) eveningList(date time.Time) (string, [][]storage.Button) {
	end := tx.NextDay(date, p.Local())
	all := lists.Filter(p.PassesIn(date, end), func(pass storage.Pass) bool { return !pass.AOS.Before(date) && pass.AOS.Before(end) })
	told := lists.Filter(all, func(pass storage.Pass) bool { return pass.Arm != storage.ArmNone })
	more := max(len(told)-eveningArmed, 0)
	told = told[:len(told)-more]
	told = slices.Concat(told, choice.Best(lists.Filter(all, func(pass storage.Pass) bool {
		return pass.Arm == storage.ArmNone && choice.Suits(p.Op.Remind, pass, p.Sky.Birds(), p.Local()) && !p.hidden(pass)
	}), max(eveningPasses-len(told), 0)))
	slices.SortFunc(told, choice.ByAOS)
	var rows []say.Pass
	var buttons [][]storage.Button
	for _, pass := range told {
		if view, ok := p.PassView(pass); ok {
			rows = append(rows, view)
			buttons = append(buttons, []storage.Button{armButton(pass)})
		}
	}
	if len(rows) == 0 {
		return "", nil
	}
	return say.Evening(date, rows, shown.Place(eveningPlace(told, p.Op.Place)), p.Local(), more), buttons
}

package bot

import (
	"slices"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/storage"
)

const (
	// momentEvening is when the next day is told.
	momentEvening = "evening"
	// eveningGrace is how late that may be: told in the night it disturbs, and
	// it would speak of the day that has begun.
	eveningGrace = 3 * time.Hour
	// eveningPasses is how many passes of a day are told.
	eveningPasses = 6
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
func (p *plan) planEvening() {
	if p.op.Remind.Off || p.op.Remind.Evening == 0 {
		p.off(momentEvening, "")
		return
	}
	if p.op.Evened.IsZero() {
		p.op.Evened = p.now()
	}
	since := later(p.op.Evened, p.now().Add(-eveningGrace))
	p.at(momentEvening, nextEvening(since, p.op.Remind.Evening, p.local()), "")
}

// evening tells the best passes of the next day, silently, and nothing where
// there are none.
func (p *plan) evening(at time.Time) {
	p.op.Evened = at
	p.replan()
	if p.op.Remind.Off || p.op.Remind.Evening == 0 || p.now().Sub(at) > eveningGrace {
		return
	}
	date := startOfDay(startOfDay(at, p.local()).Add(day+day/2), p.local())
	if text, buttons := p.eveningList(date); text != "" {
		p.put(storage.Post{
			Name: p.name("evening", date.In(p.local()).Format(time.DateOnly)), Text: text, Buttons: buttons, NotAfter: date.Add(day),
		})
	}
}

// eveningPlace is the place that all passes are seen from, or else the one set.
func eveningPlace(passes []storage.Pass, own storage.Place) storage.Place {
	first := passes[0].Place
	if slices.ContainsFunc(passes, func(pass storage.Pass) bool { return !samePlace(pass.Place, first) }) {
		return own
	}
	return first
}

// eveningDate is when the day begins that a post tells of, if it is such a post.
func (p *plan) eveningDate(name string) (time.Time, bool) {
	_, text, ok := strings.Cut(name, "/"+momentEvening+"/")
	date, err := time.ParseInLocation(time.DateOnly, text, p.local())
	return date.UTC(), ok && err == nil
}

// eveningList is the text and the buttons for the local day that begins at a
// moment; the text is empty where nothing is worth telling.
func (p *plan) eveningList(date time.Time) (string, [][]storage.Button) {
	end := startOfDay(date.Add(day+day/2), p.local())
	best := only(p.passesIn(date, end), func(pass storage.Pass) bool {
		return !pass.AOS.Before(date) && pass.AOS.Before(end) &&
			(pass.Arm != storage.ArmNone || p.follows(pass) && !pass.Hidden && pass.PeakElDeg >= p.op.Remind.PeakDeg)
	})
	slices.SortFunc(best, better)
	best = best[:min(len(best), eveningPasses)]
	slices.SortFunc(best, func(a, b storage.Pass) int { return a.AOS.Compare(b.AOS) })
	var rows []say.Pass
	var told []storage.Pass
	var buttons [][]storage.Button
	for _, pass := range best {
		if view, ok := p.passView(pass); ok {
			rows, told = append(rows, view), append(told, pass)
			buttons = append(buttons, []storage.Button{armButton(pass)})
		}
	}
	if len(rows) == 0 {
		return "", nil
	}
	return say.Evening(date, rows, placeView(eveningPlace(told, p.op.Place)), p.local()), buttons
}

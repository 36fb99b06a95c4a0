package watch

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/idiom"
	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/named"
	"skyslate/bot/outing"
	"skyslate/bot/say"
	"skyslate/bot/say/limits"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// A wish is a sked as the operator wrote it, before its pass is known.
type wish struct {
	sked  storage.Sked
	pass  named.Pass
	moves bool // it takes the place of those that are arranged with the station
}

// A chance is a pass on which a sked can be kept.
type chance struct {
	pass   storage.Pass
	window predict.Window
	at     time.Time // the moment agreed, zero for none
}

// gridLike is what stands for the grid of a sked. Without any it is the one that the
// station gave last.
var gridLike = regexp.MustCompile(`(?i)^[a-z]{2,4}\d`)

var skedMHz = regexp.MustCompile(`^\d{2,5}\.\d{1,6}$`)

// readWish reads what stood after /sked at a moment: call and grid, then in any
// order a day, a time (UTC or with its zone), a bird and a frequency; what else there is, is the
// note, and after its first word no day is looked for.
func (p Skeds) readWish(text string, at time.Time) (w wish, refusal string) {
	words := strings.Fields(text)
	if len(words) == 0 {
		return w, say.SkedHow
	}
	call, err := parse.ParseCallsign(words[0])
	if err != nil {
		return w, say.BadCall(words[0])
	}
	grid, rest, refusal := p.skedGrid(call, words[1:])
	if refusal != "" {
		return w, refusal
	}
	w.sked = storage.Sked{Call: call, Grid: grid, Since: p.Event.At}
	var note []string
	for len(rest) > 0 {
		before := w.pass
		n := p.words().Take(&w.pass, rest, at)
		if dated := !w.pass.To.IsZero() && before.To.IsZero(); dated && len(note) > 0 {
			w.pass, n = before, 0
		}
		if n > 0 {
			rest = rest[n:]
			continue
		}
		if word := rest[0]; skedMHz.MatchString(word) && w.sked.MHz == 0 {
			w.sked.MHz, _ = strconv.ParseFloat(word, 64)
		} else {
			note = append(note, word)
		}
		rest = rest[1:]
	}
	if w.pass.Zone.Unclear {
		return w, say.UnclearZone(w.pass.Said)
	}
	w.sked.Note = layout.Short(strings.Join(note, " "), layout.Columns-2)
	return w, ""
}

// skedGrid is the grid that words behind a call begin with, and the words behind it; where
// they say none, the one that the station gave last.
func (p Skeds) skedGrid(call parse.Callsign, words []string) (grid parse.Grid, rest []string, refusal string) {
	given := tx.GridsGiven(p.Worked(call))
	if len(words) > 0 {
		grid, err := tx.GridIn(words[0])
		if err == nil {
			return grid, words[1:], ""
		}
		if grid, rest, ok := idiom.GridBehind(words); ok {
			return grid, rest, ""
		}
		isPass := p.words().Take(new(named.Pass), words, p.Event.At) > 0
		if !isPass && (len(given) > 0 || gridLike.MatchString(words[0])) {
			return grid, nil, err.Error()
		}
	}
	if with := p.skedsWith(call); len(with) > 0 {
		i := slices.IndexFunc(with[0].Skeds, func(s storage.Sked) bool { return s.Call == call })
		return with[0].Skeds[i].Grid, words, ""
	}
	if len(given) == 0 {
		return grid, nil, say.SkedGridless(call.String(), strings.Join(words, " "))
	}
	return given[0][0].Square(), words, ""
}

// Sked notes a contact that was arranged, or lists those that are.
func (p Skeds) Sked(text string) {
	if text == "" {
		p.listSkeds()
		return
	}
	if call, off := idiom.SkedOff(text); off {
		p.callOffSked(call)
		return
	}
	w, refusal := p.readWish(text, p.Event.At)
	w.moves = idiom.MovesSked(p.Event.Text)
	if refusal == "" && !w.pass.To.IsZero() && (!w.pass.To.After(p.Now()) || w.pass.From.Sub(p.Now()) > outing.Ahead) {
		refusal = say.SkedRange
	}
	if refusal != "" {
		p.Say(refusal)
		return
	}
	p.Replan()
	switch chances := p.chances(w); len(chances) {
	case 0:
		p.noPass(w.pass, say.NoChance(w.sked.Grid, w.pass.Bird, w.pass.Noon(), cmp.Or(w.pass.Said, w.pass.Hours())))
	case 1:
		p.arrange(w, chances[0])
	default:
		var rows [][]storage.Button
		for _, c := range chances[:min(len(chances), tx.MaxChoices)] {
			label := say.ChanceLabel(shown.Planned(c.pass), c.window)
			rows = append(rows, []storage.Button{tx.Button(label, TapSked, p.Event.Message, c.pass.ID)})
		}
		p.Say(say.WhichChance(say.Sked(w.sked), len(chances), tx.MaxChoices), rows...)
	}
}

// SkedIn reads a line that asks for a sked in words, or tells of one, as [idiom.Sked] does.
func (p Skeds) SkedIn(line string) (words string, told, ok bool) {
	return idiom.Sked(line, func(name string) bool { _, known := p.Sky.Bird(name); return known })
}

// chances are the passes ahead that both stations share and that fit the wish. A time without
// a zone that none has is of the place.
func (p Skeds) chances(w wish) (all []chance) {
	for _, pass := range p.passesOf(w.pass) {
		if w.pass.Bird == "" && !pass.Followed() && !p.Follows(pass) {
			continue
		}
		view, ok := p.PassView(pass)
		if !ok {
			continue
		}
		if window, shared := view.With(w.sked.Grid); shared {
			at, _ := w.pass.Fits(pass)
			all = append(all, chance{pass, window, at})
		}
	}
	if len(all) == 0 && w.pass.Clock.IsSet() && !w.pass.Zoned {
		w.pass.Zoned, w.pass.Zone.Local = true, true
		return p.chances(w)
	}
	return all
}

// arrange attaches a sked to its pass, which is armed thereby.
func (p Skeds) arrange(w wish, c chance) {
	pass := c.pass
	others := withoutSked(pass.Skeds, w.sked.Call)
	if len(others) >= MostSkeds {
		p.Say(limits.TooManySkeds)
		return
	}
	if p.armedFull(pass.ID) {
		return
	}
	for _, old := range p.skedsWith(w.sked.Call) {
		if w.moves && old.ID != pass.ID {
			p.dropSked(old, w.sked.Call)
		}
	}
	pass.Skeds = append(others, w.sked)
	pass.Skeds[len(pass.Skeds)-1].At = c.at
	pass = p.arm(pass, true)
	if view, ok := p.PastView(pass); ok {
		p.Say(say.Arranged(view, w.sked.Call))
	}
}

func withoutSked(skeds []storage.Sked, call parse.Callsign) []storage.Sked {
	return lists.Filter(skeds, func(s storage.Sked) bool { return s.Call != call })
}

// TapSked attaches the sked of a message to the pass that was tapped.
func (p Skeds) TapSked(tap tx.Tap) {
	var m storage.Message
	n, ok := tap.Numbers(1)
	if ok {
		m, ok = p.MessageOf(n[0])
	}
	if !ok {
		p.Say(say.OldButton)
		return
	}
	_, text, typed := tx.Command(m.Text)
	if words, _, is := p.SkedIn(m.Text); !typed && is {
		text = words
	} else if !typed {
		_, text, _ = strings.Cut(m.Text, " ")
	}
	w, refusal := p.readWish(text, m.At)
	w.moves = idiom.MovesSked(m.Text)
	fitting := lists.Filter(p.chances(w), func(c chance) bool { return c.pass.Named(tap.Pass(1)) })
	if refusal != "" || len(fitting) == 0 {
		p.Say(say.OldButton)
		return
	}
	p.arrange(w, fitting[0])
}

// TellSkeds tells of the skeds with a station.
func (p Skeds) TellSkeds(call string) {
	if of, err := parse.ParseCallsign(call); err == nil && len(p.skedsWith(of)) == 0 {
		p.Say(say.NoSkedWith(of.String()))
		return
	}
	p.listSkeds()
}

// listSkeds lists what is arranged, with buttons to drop each.
func (p Skeds) listSkeds() {
	var told []say.Pass
	var rows [][]storage.Button
	for _, pass := range p.StoredIn(p.Now(), p.Now().Add(outing.Ahead+tx.Day)) {
		view, ok := p.PassView(pass)
		if !ok || len(pass.Skeds) == 0 {
			continue
		}
		told = append(told, view)
		for _, s := range pass.Skeds {
			rows = append(rows, []storage.Button{tx.Button(say.DropSkedLabel(view.Pass, s.Call), TapUnsked, pass.ID, s.Call)})
		}
	}
	p.Say(say.Skeds(told), rows...)
}

// callOffSked takes the only sked with a station, or of all, off its pass; else all are listed,
// with buttons to drop each.
func (p Skeds) callOffSked(call parse.Callsign) {
	with := p.skedsWith(call)
	switch {
	case len(with) == 0 && call.IsValid():
		p.Say(say.NoSkedWith(call.String()))
	case len(with) == 1 && (call.IsValid() || len(with[0].Skeds) == 1):
		p.dropSked(with[0], cmp.Or(call, with[0].Skeds[0].Call))
	default:
		p.listSkeds()
	}
}

// skedsWith are the passes ahead with a sked with a station, or with any.
func (p Skeds) skedsWith(call parse.Callsign) []storage.Pass {
	return lists.Filter(p.StoredIn(p.Now(), p.Now().Add(outing.Ahead+tx.Day)), func(pass storage.Pass) bool {
		return slices.ContainsFunc(pass.Skeds, func(s storage.Sked) bool { return !call.IsValid() || s.Call == call })
	})
}

// CallsOff reports whether words call off a sked that there is.
func (p Skeds) CallsOff(text string) bool {
	call, off := idiom.SkedOff(text)
	return off && call.IsValid() && len(p.skedsWith(call)) > 0
}

// DropSked takes the sked of a button off its pass.
func (p Skeds) DropSked(tap tx.Tap) {
	pass, ok := p.Pass(tap.Pass(0))
	call, err := parse.ParseCallsign(tap.Part(1))
	if !ok || err != nil || !slices.ContainsFunc(pass.Skeds, func(s storage.Sked) bool { return s.Call == call }) {
		p.Say(say.OldButton)
		return
	}
	p.dropSked(pass, call)
}

func (p Skeds) dropSked(pass storage.Pass, call parse.Callsign) {
	pass.Skeds = withoutSked(pass.Skeds, call)
	p.PutPass(pass)
	p.RenewSheets()
	p.Say(say.SkedDropped(shown.Planned(pass), call, pass.Followed()))
}

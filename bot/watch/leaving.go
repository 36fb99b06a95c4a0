package watch

import (
	"slices"
	"strings"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// What is said of an outing without a button: which of its passes are left out, and that
// it is over.

// chosenBy are the words that tell one pass of an outing from the others.
var chosenBy = map[string]func(a, b outingPass) bool{
	"low":    func(a, b outingPass) bool { return a.PeakElDeg < b.PeakElDeg },
	"lowest": func(a, b outingPass) bool { return a.PeakElDeg < b.PeakElDeg },
	"first":  func(a, b outingPass) bool { return a.AOS.Before(b.AOS) },
	"last":   func(a, b outingPass) bool { return a.AOS.After(b.AOS) },
}

// LeavesOut reports whether words mean one pass of the outing shown last: "low one",
// "last wicket-1" or, until that is armed, "wicket-1 8:56".
func (p Outings) LeavesOut(words []string) bool {
	_, _, ok := p.leftOut(words)
	return ok
}

// SkipMeant leaves out the pass of an outing that words mean, or else skips the pass that
// they name.
func (p Answerer) SkipMeant(outings Outings, text string) {
	if !outings.leaveOut(strings.Fields(text)) {
		p.ArmMeant(text, false)
	}
}

// leaveOut leaves out the pass that words mean, and shows the outing anew; false if they
// mean none.
func (p Outings) leaveOut(words []string) bool {
	i, pass, ok := p.leftOut(words)
	if !ok {
		return false
	}
	p.Op.Outings = slices.Clone(p.Op.Outings)
	o := &p.Op.Outings[i]
	p.leave(o, pass.Pass, true)
	passes, errs := p.outingPasses(*o)
	at := slices.IndexFunc(passes, func(one outingPass) bool { return one.Named(pass.ID) })
	text, rows := p.outingPart(*o, passes, errs, max(at, 0))
	p.Say(text, rows...)
	return true
}

// leftOut is the pass of the outing shown last that words mean, and that outing's place
// among all.
func (p Outings) leftOut(words []string) (outing int, meant outingPass, ok bool) {
	var before func(a, b outingPass) bool
	var bird []string
	for _, word := range words {
		switch by := chosenBy[word]; {
		case by != nil:
			before = by
		case word != "one" && word != "pass":
			bird = append(bird, word)
		}
	}
	m, rest := p.words().Read(strings.Join(bird, " "), p.Event.At)
	outing = len(p.Op.Outings) - 1
	if len(rest) > 0 || outing < 0 || !p.Op.Outings[outing].Until.After(p.Now()) {
		return outing, meant, false
	}
	if timed := m.Clock.IsSet() && m.To.IsZero() && p.Op.Outings[outing].Armed.IsZero(); before == nil && !timed {
		return outing, meant, false
	}
	passes, _ := p.outingPasses(p.Op.Outings[outing])
	for _, one := range passes {
		if _, fits := m.Fits(one.Pass); fits && !one.view.Left && (!ok || before != nil && before(one, meant)) {
			meant, ok = one, true
		}
	}
	return outing, meant, ok
}

// AskOver answers that a day out is over: it offers to call off what is left of it.
func (p Outings) AskOver() {
	home := p.homeButtons()
	if o, out := p.outingNow(); out && len(p.aheadOn(o)) > 0 {
		rows := [][]storage.Button{{tx.Button(say.CallOffLabel(shown.Outing(o)), TapCallOff, o.ID)}}
		p.Say(say.OutingLeft(shown.Outing(o), len(p.aheadOn(o))), append(rows, home...)...)
		return
	}
	if !p.askOver() {
		p.Say(say.Meaning("leaving"), home...)
	}
}

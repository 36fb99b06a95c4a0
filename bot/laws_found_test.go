package bot

import (
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/contact"
	"skyslate/storage"
)

// Histories in which a law of the log didn't hold once.

// An answer to a message of another sitting, at the moment of a message of this one,
// is the later of the two.
func TestFoundUndoAcrossSittings(t *testing.T) {
	h := history{
		{kind: "say", id: 1, text: "OX7EC JO33"},
		{kind: "say", id: 2, text: "OX7EC JO33", wait: 14 * time.Hour},
	}
	p := play(t, h)
	defer p.close()
	before := p.log()
	for _, a := range []act{
		{kind: "answer", id: 3, on: 1, text: "OX7EC JO43"},
		{kind: "undo", id: 4, wait: time.Second},
	} {
		h = append(h, a)
		p.act(a)
	}
	same(t, "what is taken back never came", before, p.log(), h, nil)
}

// What takes back the line before takes back no earlier one, where the line before waits
// for its pass.
func TestFoundScratchBehindWaiting(t *testing.T) {
	h := history{
		{kind: "say", id: 1, text: "DI4ZAB IO85", wait: 8*time.Minute + 15*time.Second},
		{kind: "say", id: 2, text: "DI4ZAC IO85\n2Z0VEK JO43\n2Z0VEK JO33 +0:40", wait: 2 * time.Minute},
	}
	p := play(t, h)
	defer p.close()
	before := p.byID()
	scratch := act{kind: "say", id: 3, text: "scratch that", wait: 8 * time.Minute}
	h = append(h, scratch)
	p.act(scratch)
	p.checkUnnamed(t, h, scratch, before)
}

// A line that changes nothing, at the moment of an edit and of a message of another
// sitting, hides neither which of them is the later.
func TestFoundUndoBehindNothing(t *testing.T) {
	h := history{
		{kind: "say", id: 1, text: "OX7EC JO33"},
		{kind: "say", id: 2, text: "OX7EC JO33", wait: 14 * time.Hour},
	}
	p := play(t, h)
	defer p.close()
	before := p.log()
	for _, a := range []act{
		{kind: "edit", on: 1, text: "HX7AAB JO43"},
		{kind: "answer", id: 3, on: 1, text: "slate 13:13:10"},
		{kind: "undo", id: 4, wait: time.Second}, // of the slate
		{kind: "undo", id: 5, wait: time.Second},
	} {
		h = append(h, a)
		p.act(a)
	}
	same(t, "what is taken back never came", before, p.log(), h, nil)
}

// A later sitting that filed by what an earlier one holds files anew when that is taken
// back, also where it has no contact of the passes itself.
func TestFoundLeaningOnAnEarlierSitting(t *testing.T) {
	h := history{
		{kind: "say", id: 1, text: "HX7AAB JO33"},
		{kind: "say", id: 2, text: "slate 13:13\nDI4ZAB IO85 +1:10", wait: 14 * time.Hour},
	}
	p := play(t, h)
	defer p.close()
	before := p.log()
	for _, a := range []act{
		{kind: "reply", id: 3, on: 1, text: "CELADON", wait: 2 * time.Second},
		{kind: "undo", id: 4, wait: time.Second},
	} {
		h = append(h, a)
		p.act(a)
	}
	same(t, "what is taken back never came", before, p.log(), h, nil)
}

// A correction that changes nothing is no step that undo takes back.
func TestFoundCorrectionToTheSame(t *testing.T) {
	h := history{
		{kind: "say", id: 1, text: "OX7EC JO33"},
		{kind: "correct", id: 2, text: "/correct 1 date 2026-09-01", wait: 2 * time.Minute},
		{kind: "correct", id: 3, text: "/correct bird OCHRE-1"},
		{kind: "undo", id: 4, wait: time.Second},
	}
	p := play(t, h)
	defer p.close()
	same(t, "what is taken back never came", nil, p.log(), h, nil)
}

// Evidence that makes no difference any more is taken back on the way to what came
// before it, in an older sitting too.
func TestFoundUndoOfAll(t *testing.T) {
	h := history{
		{kind: "say", id: 1, text: "OX7EC JO33\nOX7EC JO33"},
		{kind: "say", id: 2, text: "OX7EC JO33", wait: 14 * time.Hour},
		{kind: "say", id: 3, text: "OX7EC JO33\nscratch that", wait: 40 * time.Second},
		{kind: "say", id: 4, text: "DI4ZAB JO43", wait: 14 * time.Hour},
	}
	for id := int64(5); id < 10; id++ {
		h = append(h, act{kind: "undo", id: id, wait: time.Second})
	}
	p := play(t, h)
	defer p.close()
	same(t, "all of it taken back is nothing", nil, p.offered(), h, nil)
}

// An edit of a line whose contact is out of the log makes no difference: undo says so, and
// goes on to the evidence before it when it is asked again.
func TestFoundUndoPastAContactThatIsOut(t *testing.T) {
	h := history{
		{kind: "say", id: 1, text: "OX7EC JO33"},
		{kind: "say", id: 2, text: "drop 1", wait: time.Second},
		{kind: "say", id: 3, text: "OX7EC IO85", wait: 14 * time.Hour},
	}
	p := play(t, h[:2])
	want := p.offered()
	p.close()
	h = append(h,
		act{kind: "edit", id: 3, on: 1, text: "OX7EC JO34"},
		act{kind: "undo", id: 4, wait: time.Second},
	)
	p = play(t, h)
	defer p.close()
	if !p.heard("Nothing to take back: “OX7EC JO34”") || len(p.offered()) == len(want) {
		t.Error("that an edit makes no difference is not said, or something else is taken back")
	}
	p.act(act{kind: "undo", id: 5, wait: time.Second})
	same(t, "undo takes back what made a difference", want, p.offered(), h, nil)
}

// heard reports whether a text that begins so was ever posted.
func (p *player) heard(text string) bool {
	return slices.ContainsFunc(p.said, func(o Outgoing) bool { return strings.HasPrefix(o.Text, text) })
}

// What stands on the screen is what is derived, and a line that names no station
// changes none further up than the line before it.
func TestFoundOnTheWay(t *testing.T) {
	for name, h := range map[string]history{
		"a square was worked with a bird until an edit": {
			{kind: "say", id: 1, text: "OX7EC JO33 14:52", wait: 14 * time.Hour},
			{kind: "say", id: 2, text: "HX7AAB JO43 14:52\nOX7EC/P JO34", wait: 2 * time.Minute},
			{kind: "edit", on: 2, text: "OX7EC JO34\nHX7AAB JO34 13:14", wait: 2 * time.Minute},
		},
		"a correction of many leaves a contact in doubt": {
			{kind: "say", id: 1, text: "OX7EC JO33\nOX7EC JO33"},
			{kind: "correct", id: 2, text: "/correct 1 bird SIENNA"},
		},
		"a contact comes to a time before all others": {
			{kind: "say", id: 1, text: "2Z0VEK JO34", wait: 14 * time.Hour},
			{kind: "say", id: 2, text: ":16\nDI4ZAB JO33"},
			{kind: "reply", id: 3, on: 2, text: "13:16", wait: 40 * time.Second},
		},
		"a message dropped a contact that an edit takes away": {
			{kind: "say", id: 1, text: "OX7EC JO33"},
			{kind: "say", id: 2, text: "scratch that\nDI4ZAB JO34", wait: 2 * time.Second},
			{kind: "edit", on: 1, text: "no contact", wait: 2 * time.Second},
		},
		"a contact comes to the pass of another sitting, before one of its own": {
			{kind: "say", id: 1, text: "OX7EC JO33"},
			{kind: "say", id: 2, text: "DI4ZAB JO43", wait: 14 * time.Hour},
			{kind: "edit", on: 1, text: "OX7EC JO33\nHX7AAB JO34", wait: 2 * time.Second},
			{kind: "edit", on: 2, text: "DI4ZAB JO43 13:14", wait: 2 * time.Second},
		},
		"a correction after a station that was heard, under another bird": {
			{kind: "say", id: 1, text: "HX7AAB JO33"},
			{kind: "say", id: 2, text: "CELADON heard 2Z0VEK", wait: 50 * time.Second},
			{kind: "say", id: 3, text: "I meant JO34", wait: 2 * time.Minute},
		},
		"a grid after a station that was told again, alone": {
			{kind: "say", id: 1, text: "2Z0VEK JO33 +11:00"},
			{kind: "say", id: 2, text: "2Z0VEK IO85", wait: 15 * time.Second},
			{kind: "say", id: 3, text: "DI4ZAB JO43", wait: 8 * time.Minute},
			{kind: "say", id: 4, text: "2Z0VEK\nDI4ZAB IO85", wait: 15 * time.Second},
			{kind: "say", id: 5, text: "JO33", wait: 15 * time.Second},
		},
	} {
		t.Run(name, func(t *testing.T) {
			p := play(t, nil)
			defer p.close()
			for i, a := range h {
				before := p.byID()
				p.act(a)
				p.checkUnnamed(t, h[:i+1], a, before)
				p.checkScreen(t, h[:i+1])
			}
		})
	}
}

// A name that answers which pass was meant has answered it, whatever comes in with it.
func TestFoundNameAtTheHeadOfABurst(t *testing.T) {
	p := play(t, history{
		{kind: "say", id: 1, text: "OX7EC JO33", wait: 97 * time.Minute}, // OCHRE-1 and CELADON are up
		{kind: "say", id: 2, text: "OCHRE-1", wait: 15 * time.Second},
	})
	defer p.close()
	before := p.log()
	for i, text := range []string{"DI4ZAB JO43", "HX7AAB JO34", "DI4ZAC JO34"} {
		p.act(act{kind: "say", id: int64(i) + 3, text: text})
	}
	same(t, "lines change what they don't name", before, p.log()[:1], nil, nil)
}

// A name at the end of a message, or at its head, answers which pass was meant as if it had
// been sent by itself; between contacts of a message it is of those below it alone.
func TestFoundNameAtEitherEndOfAMessage(t *testing.T) {
	asked := history{{kind: "say", id: 1, text: "OX7EC JO33", wait: 97 * time.Minute}} // OCHRE-1 and CELADON are up
	for _, lines := range [][]string{{"DI4ZAB JO34", "OCHRE-1", ":16"}, {"OCHRE-1", "DI4ZAB JO34"}} {
		whole := append(slices.Clone(asked), act{kind: "say", id: 2, text: strings.Join(lines, "\n"), wait: 2 * time.Second})
		apart := slices.Clone(asked)
		for i, line := range lines {
			apart = append(apart, act{kind: "say", id: int64(i) + 2, text: line})
		}
		apart[1].wait = 2 * time.Second
		p, q := play(t, whole), play(t, apart)
		defer p.close()
		defer q.close()
		same(t, "lines are messages", p.bare(), q.bare(), whole, apart)
		if n := p.heldByPass(); n != 0 {
			t.Errorf("%q: %d contacts wait for their pass: %q", lines, n, p.log())
		}
	}

	p := play(t, append(asked, act{kind: "say", id: 2, text: "DI4ZAB JO34\nOCHRE-1\nHX7AAB JO43", wait: 2 * time.Second}))
	defer p.close()
	if n := p.heldByPass(); n != 2 {
		t.Errorf("%d contacts wait for their pass, want the two above the name: %q", n, p.log())
	}
}

// heldByPass is how many contacts wait to hear which pass they are of.
func (p *player) heldByPass() int {
	return len(slices.DeleteFunc(p.contacts(), func(c storage.Contact) bool { return c.Why != contact.WhyPass }))
}

// A message just before a bird rises, told from a place that was set right after it, isn't
// of that pass when it is read again.
func TestFoundPlaceToldSince(t *testing.T) {
	said := "2Z0VEK JO33\n2Z0VEK JO33\nDI4ZAC JO43"
	of := func(then ...act) []string {
		p := play(t, append(history{
			{kind: "say", id: 1, text: "OX7EC JO33", wait: 50 * time.Minute},
			{kind: "say", id: 2, text: said, wait: 2 * time.Minute},
			{kind: "command", id: 3, text: "/at JO61"},
			{kind: "command", id: 4, text: "/at JO62", wait: 40 * time.Second},
		}, then...))
		defer p.close()
		return p.log()
	}
	edited := of(act{kind: "edit", on: 2, text: "OX7EC IO85"}, act{kind: "edit", on: 2, text: said})
	same(t, "back is as it was", of(), edited, nil, nil)
}

// A contact that a later line put in doubt, and that is told once more, is one, in however
// many messages that comes.
func TestFoundToldOnceMore(t *testing.T) {
	first := act{kind: "say", id: 3, text: "OX7EC JO33", wait: 15 * time.Second}
	apart := history{first, {kind: "say", id: 4, text: "OX7EC not JO33"}, {kind: "say", id: 5, text: "OX7EC JO33"}}
	first.text = "OX7EC JO33\nOX7EC not JO33\nOX7EC JO33"
	whole := history{first}
	p, q := play(t, whole), play(t, apart)
	defer p.close()
	defer q.close()
	same(t, "lines are messages", p.bare(), q.bare(), whole, apart)
}

// A grid that is denied of a station with nothing else said is of the pass at hand, whatever
// an earlier one holds or held.
func TestFoundDeniedOfTheDayBefore(t *testing.T) {
	h := history{
		{kind: "say", id: 1, text: "HX7AAB"},
		{kind: "say", id: 2, text: "HX7AAB not JO33", wait: 14 * time.Hour},
		{kind: "edit", on: 1, text: "DI4ZAB JO43", wait: 14 * time.Hour},
	}
	g := history{
		{kind: "say", id: 1, text: "DI4ZAB JO43"},
		{kind: "say", id: 2, text: "HX7AAB not JO33", wait: 14 * time.Hour},
	}
	p, q := play(t, h), play(t, g)
	defer p.close()
	defer q.close()
	same(t, "edited is sent", p.bare(), q.bare(), h, g)
}

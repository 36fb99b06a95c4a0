package bot

import (
	"skyslate/parse"
	"skyslate/storage"
)

// answeredSince is what an edited line makes of its contact, with what answers
// have told of the same station and neither the line as it was nor as it is speaks
// of.
func (s *scribe) answeredSince(fresh, old storage.Contact) storage.Contact {
	if fresh.Call != old.Call || fresh.State == storage.Heard {
		return fresh
	}
	before, now := readAlone(old.Text), readAlone(fresh.Text)
	if len(fresh.Grids) == 0 && len(before.Grids) == 0 {
		fresh.Grids = old.Grids
	}
	if now.Name == before.Name {
		fresh.Name = old.Name
	}
	if now.Report == before.Report {
		fresh.Report = old.Report
	}
	if old.Pass == fresh.Pass && old.Bird == fresh.Bird {
		fresh = s.answeredDial(s.answeredTime(fresh, old, before, now), old)
	}
	return judge(fresh)
}

// readAlone reads what one contact was read from for what it spells out itself.
func readAlone(text string) parse.Contact {
	for _, line := range parse.Read(text, parse.Known{}) {
		for _, c := range line.Contacts {
			return c
		}
	}
	return parse.Contact{}
}

// answeredTime keeps the time that an answer told, where no line tells one.
func (s *scribe) answeredTime(fresh, old storage.Contact, before, now parse.Contact) storage.Contact {
	spelled := before.Clock.IsSet() || before.Offset.IsSet() || now.Clock.IsSet() || now.Offset.IsSet()
	if spelled || !s.answered(old, func(a, b storage.Contact) bool { return a.Clock == b.Clock && sameMark(a.Mark, b.Mark) }) {
		return fresh
	}
	fresh.Time, fresh.TimeSource, fresh.Clock, fresh.Mark = old.Time, old.TimeSource, old.Clock, old.Mark
	if fresh.Why == "" && old.Why == whyTime {
		fresh.Why = whyTime
	}
	return fresh
}

// answeredDial keeps the dial frequency that an answer told, where no line does.
func (s *scribe) answeredDial(fresh, old storage.Contact) storage.Contact {
	if fresh.DialMHz == 0 && s.answered(old, func(a, b storage.Contact) bool { return a.DialMHz == b.DialMHz }) {
		fresh.DialMHz, fresh.UplinkMHz, fresh.DownlinkMHz = old.DialMHz, old.UplinkMHz, old.DownlinkMHz
	}
	return fresh
}

// answered reports whether an answer changed something of a contact.
func (s *scribe) answered(c storage.Contact, same func(a, b storage.Contact) bool) bool {
	history := list(s.plan, func() ([]storage.Contact, error) { return s.view.History(s.op.ID, c.ID) })
	for i := 1; i < len(history); i++ {
		if history[i].Cause.Kind == "reply" && !same(history[i-1], history[i]) {
			return true
		}
	}
	return false
}

// amend applies what a reply or a correction says to a contact and returns its
// ID.
func (p *plan) amend(old storage.Contact, c parse.Contact, cause storage.Cause) uint64 {
	fresh := old
	fresh.Cause = cause
	if c.Call.IsValid() {
		fresh.Call = c.Call
	}
	if len(c.Grids) > 0 {
		fresh.Grids = c.Grids
	}
	fresh.Name, fresh.Report = either(c.Name, old.Name), either(c.Report, old.Report)
	switch {
	case c.Heard:
		fresh.State, fresh.Why = storage.Heard, ""
		return p.add(fresh).ID
	case settles(c):
		fresh = p.cleared(fresh)
	default:
		fresh.Why, fresh.Candidates = string(c.Why), candidates(c)
	}
	pass, ok := p.pass(old.Pass)
	if c.Offset.IsSet() && !c.Clock.IsSet() {
		fresh = p.remarked(fresh, c, pass)
	}
	if ok && c.Clock.IsSet() {
		fresh.Clock, fresh.Mark = c.Clock, nil
		when, source, fits := p.timeOf(c.Clock, p.under(pass), old.Time)
		fresh.Time, fresh.TimeSource = when, source
		if !fits && fresh.Why == "" {
			fresh.Why = whyTime
		}
	}
	p.takeDial(&fresh, c.Text)
	return p.add(judge(fresh)).ID
}

// settles reports whether a reading leaves no doubt but for a missing half.
func settles(c parse.Contact) bool {
	return c.Verdict == parse.Log || c.Why == parse.NoCall || c.Why == parse.NoGrid
}

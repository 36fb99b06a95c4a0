package bot

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/bot/event"
	"skyslate/bot/filing"
	"skyslate/bot/layout"
	"skyslate/bot/ledger"
	"skyslate/bot/say"
	"skyslate/storage"
)

// TestLawOfTheScreen holds after each act of a history what was posted, or is owed while
// the service takes nothing, against what the log says, the log against what is derived
// anew, and what wasn't named against what it was.
func TestLawOfTheScreen(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := &writer{r: r}
		p := play(t, nil)
		defer p.close()
		var h history
		for range rapid.IntRange(1, 9).Draw(r, "acts") {
			before := p.byID()
			a := w.any(append(everything, "undo", "undo", "again")...)
			h = append(h, a)
			if p.held = rapid.IntRange(0, 4).Draw(r, "service") == 4; !p.held {
				p.deliver()
			}
			p.act(a)
			p.checkUnnamed(r, h, a, before)
			p.checkScreen(r, h)
		}
		p.held = false
		p.deliver()
		p.checkScreen(r, h)
	})
}

func (p *player) byID() map[uint64]storage.Contact {
	all := map[uint64]storage.Contact{}
	for _, c := range p.contacts() {
		all[c.ID] = c
	}
	return all
}

func (p *player) checkScreen(r fataler, h history) {
	p.must(p.store.View(func(v *storage.View) error {
		plan := newPlan(p.desk, v, event.Event{ID: "look", Operator: "7", At: p.now, Now: p.now, Kind: event.Moment})
		for id := v.LastSitting("7"); id > 0; id-- {
			s, _ := plan.SittingOf(id)
			plan.Derive(s)
			if len(plan.Contacts) > 0 {
				r.Fatalf("derived anew, %d contacts are others\n%s", len(plan.Contacts), h)
			}
			n := int(id) * 2 * ledger.MostLines
			for _, m := range s.Log.Messages {
				for _, key := range m.Contacts {
					n++
					p.told[s.Known[key]] = n
				}
			}
			checkTheirs(r, s, h)
			others := othersChanged(p, v, id)
			for _, m := range s.Log.Messages {
				want, should := plan.echoOf(s, m, plan.told(s, m))
				is, ok, err := v.Post(want.Name)
				if err != nil {
					return err
				}
				old := others && is.Text == p.echoes[want.Name] && strings.HasPrefix(is.Text+"\n", layout.Fit(plan.withoutNews(want))+"\n")
				if should && ok && is.Text != layout.Fit(cmp.Or(want.Text, say.NothingLeft)) && !old {
					r.Fatalf("the echo of m%d reads\n%s\nand should read\n%s\n---\n%s", m.ID, is.Text, want.Text, h)
				}
				if should && ok && !is.Means(want) {
					r.Fatalf("the echo of m%d is about %v on %s and should be about %v on %s\n%s", m.ID, is.About, is.Pass, want.About, want.Pass, h)
				}
				p.echoes[want.Name] = is.Text
			}
			checkGone(r, v, s, h)
			checkQuestions(r, v, plan, s, h)
		}
		return plan.Err
	}))
}

// checkTheirs: what somebody else wrote is in no log until an answer says so.
func checkTheirs(r fataler, s *ledger.Sitting, h history) {
	for _, c := range s.Log.Contacts {
		theirs, answered := false, len(c.By) > 1
		for _, ev := range s.Evidence {
			theirs = theirs || ev.Forwarded && ev.Message == c.Key.Message
			answered = answered || ev.Kind == storage.EvAnswer && ev.Contact == c.Key && !ev.Undone
		}
		if theirs && !answered && (c.State == storage.Certain || c.State == storage.Incomplete) {
			r.Fatalf("somebody else's words are logged\n%s\n---\n%s", logged(c.Contact), h)
		}
	}
}

// checkGone: of a message that was taken back nothing is left.
func checkGone(r fataler, v *storage.View, s *ledger.Sitting, h history) {
	for _, ev := range s.Evidence {
		stands := slices.ContainsFunc(s.Log.Messages, func(m filing.Outcome) bool { return m.ID == ev.Message })
		echo, out, err := v.Post(fmt.Sprintf("7/ack/%d", ev.Message))
		if ev.Kind == storage.EvSaid && !stands && (err != nil || out && echo.Text != say.NothingLeft && echo.Text != say.CorrectionBack) {
			r.Fatalf("m%d was taken back, and its echo reads\n%s\n---\n%s %v", ev.Message, echo.Text, h, err)
		}
	}
}

// checkQuestions: a question is open as long as the contact that it is about is asked
// about by itself.
func checkQuestions(r fataler, v *storage.View, p *plan, s *ledger.Sitting, h history) {
	asks := map[uint64]bool{}
	for _, c := range s.Log.Contacts {
		c.Contact, _ = p.Contact(s.Known[c.Key])
		asks[c.ID] = p.asksItself(s, c)
	}
	for _, known := range s.Contacts {
		post, out, err := v.Post(fmt.Sprintf("7/ask/%d", known.ID))
		if open := len(post.Buttons) > 0; err != nil || out && open != asks[known.ID] {
			r.Fatalf("of contact %d is open %v and should be %v\n%s\n---\n%s %v", known.ID, open, asks[known.ID], post.Text, h, err)
		}
	}
}

// withoutNews is the text of an echo but for what was new when it was told.
func (p *plan) withoutNews(echo storage.Post) string {
	var all []storage.Contact
	for _, id := range echo.About {
		c, _ := p.Contact(id)
		all = append(all, c)
	}
	return strings.TrimSuffix(echo.Text, "\n"+p.screen.past.EchoNews(all))
}

// othersChanged reports whether another sitting changed since one began: until an echo is
// told anew it tells what was new when it was told.
func othersChanged(p *player, v *storage.View, id uint64) (changed bool) {
	others := false
	p.must(v.VisitLatestSteps("7", func(step storage.Step) bool {
		others = others || slices.ContainsFunc(step.Sittings, func(other uint64) bool { return other != id })
		changed = changed || others && slices.Contains(step.Sittings, id)
		return true
	}))
	return changed
}

// checkUnnamed: a line changes no certain contact that it doesn't name, by call or as
// the last one, where it names a bird or a time the last one of that pass, but for those
// whose message came in with it.
func (p *player) checkUnnamed(r fataler, h history, a act, before map[uint64]storage.Contact) {
	if a.kind != "say" && a.kind != "relay" {
		return
	}
	last, lastOfAll := map[storage.PassID]storage.Contact{}, storage.Contact{}
	for _, c := range before {
		if c.State == storage.Dropped {
			continue
		}
		if p.told[c.ID] >= p.told[last[c.Pass].ID] {
			last[c.Pass] = c
		}
		if p.told[c.ID] >= p.told[lastOfAll.ID] {
			lastOfAll = c
		}
	}
	isLast := func(c storage.Contact) bool { // or its repeat: the same contact told twice
		return last[c.Pass].Call == c.Call && (lastOfAll.Pass == c.Pass || namesPass.MatchString(a.text))
	}
	began := p.operator().Delivery
	for id, now := range p.byID() {
		was, known := before[id]
		says := a.kind == "say" &&
			(strings.Contains(a.text, was.Call.Base()) || isLast(was) || was.Mark != nil || !p.sentAt(was.Message).Before(began))
		if !known || was.State != storage.Certain || says {
			continue
		}
		if was.Call != now.Call || !slices.Equal(was.Grids, now.Grids) || was.Pass != now.Pass || !was.Time.Equal(now.Time) || now.State == storage.Dropped {
			r.Fatalf("a line that doesn't name it changed\n%s\nto\n%s\n---\n%s", logged(was), logged(now), h)
		}
	}
}

var namesPass = regexp.MustCompile(`OCHRE|CELADON|SIENNA|:\d\d`)

// sentAt is when a message was sent.
func (p *player) sentAt(id int64) (at time.Time) {
	p.must(p.store.View(func(v *storage.View) error {
		m, _, err := v.Message("7", id)
		at = m.At
		return err
	}))
	return at
}

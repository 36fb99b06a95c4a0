package bot

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/bot/tx"
	"skyslate/storage"
)

// townFor opens a town in memory, for a law.
func townFor(t *testing.T, people ...townsman) (*town, func()) {
	dir, err := os.MkdirTemp(fastDir(), "town")
	if err != nil {
		t.Fatal(err)
	}
	store, err := storage.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	d := newTown(t, store, lawSky(t), inPass, people...)
	return d, func() {
		d.must(store.Close())
		d.must(os.RemoveAll(dir))
	}
}

// A deed is one thing that one of a town does.
type deed struct {
	who  townsman
	kind string // "say", "edit", "take", "command"
	on   int    // edit: which of their messages, from the last
	text string
	wait time.Duration
	// idle says that the line names neither anna's call nor one like it.
	idle bool
}

var (
	naming = []string{"hx7kzq jo62", "hx7kzq jo62", "hx7kqz jo62", "hx7kza jo62", "hx7kz jo62", "hx7kzq jo63", "hx7kzq/p", "hx7kzq jo62 13:15", "ox7ec jo61", "di4zab jo63"}
	idling = []string{"vj2fqx jo33", "vj2fqx jo34", "sk8abc jo43", "di4zab jo63", "ox7ec jo61", "vj2fqx jo33 13:15", "i9zzzz/p jo70"}
)

func (d *town) does(a deed, said map[storage.OperatorID][]int64) {
	d.pass(a.wait)
	sent := said[a.who.id]
	switch {
	case a.kind == "edit" && len(sent) > 0:
		d.edits(a.who, sent[max(0, len(sent)-1-a.on)], a.text)
	case a.kind == "take":
		d.taps(a.who, d.offer[a.who.id])
	case a.kind == "none":
	default:
		said[a.who.id] = append(sent, d.tells(a.who, a.text))
	}
}

func (d *town) plays(h []deed) {
	said := map[storage.OperatorID][]int64{}
	for _, a := range h {
		d.does(a, said)
		planned, err := d.store.Planned("", d.now.Add(-time.Hour), d.now.Add(tx.Day))
		d.must(err)
		for _, it := range planned {
			if strings.Contains(it.Key, "/"+string(anna.id)+"/") {
				d.heard[anna.id] = append(d.heard[anna.id], it.Key+" at "+it.At.Format(time.TimeOnly))
			}
		}
	}
	d.pass(40 * time.Minute)
	d.tells(anna, "/log")
	d.pass(2 * time.Hour)
}

// naming is all that others had in their logs since a moment that names somebody's call or
// one like it.
func (d *town) naming(whom townsman, since time.Time, others ...townsman) (all []string) {
	d.must(d.store.View(func(v *storage.View) error {
		for _, o := range others {
			for id := uint64(1); id < v.NextContact(o.id); id++ {
				versions, err := v.History(o.id, id)
				if err != nil {
					return err
				}
				for _, c := range versions {
					if !c.Made.Before(since) && c.Call.IsValid() && slices.Contains(v.CallersNear(c.Call.Base()), whom.id) {
						all = append(all, fmt.Sprint(o.id, c.Made, c.State, c.Call, c.Grids, c.Time, c.TimeSource, c.Bird, c.OwnCall, c.OwnGrids))
					}
				}
			}
		}
		return nil
	}))
	return all
}

// TestLawOfSecrets: what others log that names neither an operator's call nor one like it
// changes no post of that operator's: not its text, not when it comes, nor how many do, and nothing on their agenda.
func TestLawOfSecrets(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var h, g []deed
		for range rapid.IntRange(2, 7).Draw(r, "deeds") {
			wait := rapid.SampledFrom([]time.Duration{0, 20 * time.Second, time.Minute, 9 * time.Minute, 31 * time.Minute}).Draw(r, "wait")
			a := deed{kind: "say", wait: wait, who: rapid.SampledFrom([]townsman{anna, annasMate, bert, bert, bertsMate, clara}).Draw(r, "who")}
			switch {
			case a.who == anna || a.who == annasMate:
				a.kind = rapid.SampledFrom([]string{"say", "say", "say", "edit", "take"}).Draw(r, "kind")
				a.text = rapid.SampledFrom([]string{"ox7ec jo61", "ox7ed jo61", "ox7ec jo34", "di4zab jo63", "/log", "/undo", "vj2fqx jo33", "/worked"}).Draw(r, "text")
				h, g = append(h, a), append(g, a)
				continue
			case rapid.IntRange(0, 2).Draw(r, "names") == 0:
				a.text = rapid.SampledFrom(naming).Draw(r, "text")
			default:
				a.idle, a.text = true, rapid.SampledFrom(idling).Draw(r, "text")
			}
			if strings.HasPrefix(a.text, strings.ToLower(a.who.call)) {
				a.text, a.idle = idling[0], true
			}
			b := a
			if a.idle || strings.HasPrefix(a.text, "ox7ec") || strings.HasPrefix(a.text, "di4zab") {
				if b.text = rapid.SampledFrom(idling[:3]).Draw(r, "instead"); rapid.Bool().Draw(r, "gone") {
					b.kind = "none"
				}
			}
			h, g = append(h, a), append(g, b)
		}
		p, end := townFor(t, anna, bert, clara)
		defer end()
		q, endOther := townFor(t, anna, bert, clara)
		defer endOther()
		for _, d := range []*town{p, q} {
			d.pairs(anna, annasMate)
			d.pairs(bert, bertsMate)
		}
		p.plays(h)
		q.plays(g)
		if !slices.Equal(p.naming(anna, time.Time{}, bert, clara), q.naming(anna, time.Time{}, bert, clara)) {
			return // lines of one delivery: what was idle said which pass or time the others are of
		}
		sameHeard(r, p, q, h, g)
	})
}

// sameHeard fails if anna's phones got different posts, or one at another time.
func sameHeard(r *rapid.T, p, q *town, h, g []deed) {
	for _, phone := range []townsman{anna, annasMate} {
		if a, b := p.heard[phone.id], q.heard[phone.id]; !slices.Equal(a, b) {
			r.Fatalf("--- of\n%v\n--- comes\n%s\n--- of\n%v\n--- comes\n%s", h, strings.Join(a, "\n"), g, strings.Join(b, "\n"))
		}
	}
}

// someLines are what somebody says on a pass, by whom is drawn.
func someLines(r *rapid.T, texts []string, who ...townsman) (all []deed) {
	for range rapid.IntRange(0, 5).Draw(r, "lines") {
		all = append(all, deed{
			kind: "say", who: rapid.SampledFrom(who).Draw(r, "who"), text: rapid.SampledFrom(texts).Draw(r, "text"),
			wait: rapid.SampledFrom([]time.Duration{0, 20 * time.Second, time.Minute}).Draw(r, "wait"),
		})
	}
	return all
}

// TestLawOfConsent: whatever others log changes no post of who doesn't compare; nor does
// what they logged more than an hour and a half before they did.
func TestLawOfConsent(t *testing.T) {
	both := slices.Concat(naming, idling)
	rapid.Check(t, func(r *rapid.T) {
		hers := []string{"ox7ec jo61", "ox7ed jo61", "/log", "/worked"}
		h := slices.Concat(someLines(r, hers[:2], anna), someLines(r, naming[:8], bert))
		g := slices.Clone(h)
		for i := range g {
			if g[i].who == anna {
				continue
			}
			g[i].text = rapid.SampledFrom(both).Draw(r, "instead")
			g[i].kind = rapid.SampledFrom([]string{"say", "say", "none"}).Draw(r, "kind")
		}
		never := rapid.Bool().Draw(r, "anna never compares")
		after := someLines(r, naming[:8], bert)
		after = append(after, someLines(r, hers, anna)...)
		after = append(after, deed{kind: "say", who: anna, text: "/log ochre-1 13:12"}) // a ✓ would stand there
		p, end := townFor(t, anna, bert)
		defer end()
		q, endOther := townFor(t, anna, bert)
		defer endOther()
		began := utc("2026-09-01T16:02:00Z")
		for d, lines := range map[*town][]deed{p: h, q: g} {
			d.tells(bert, "/agree off")
			if never {
				d.tells(anna, "/agree off")
			}
			d.plays(lines) // for nearly three hours
			d.now = began
			d.pass(time.Minute)
			d.taps(bert, "agree:OX7EC")
			d.plays(after)
		}
		if !never && !slices.Equal(p.naming(anna, began, bert), q.naming(anna, began, bert)) {
			return // what their logs knew before says how a line is read
		}
		sameHeard(r, p, q, h, g)
	})
}

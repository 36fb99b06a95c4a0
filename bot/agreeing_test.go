package bot

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/bot/peers"
	"skyslate/bot/tx"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// OCHRE-1 is up from 13:12:55 to 13:23:46 at JO62 (passes.csv).
const inPass = "2026-09-01T13:14:00Z"

func someTown(t *testing.T, people ...townsman) *town {
	return newTown(t, storagetest.Open(t), inventedSky(t), inPass, people...)
}

func (d *town) wants(p townsman, want ...string) {
	d.t.Helper()
	if got := d.hears(p); got != strings.Join(want, "\n") {
		d.t.Errorf("%s hears\n%s\nwant\n%s", p.call, got, strings.Join(want, "\n"))
	}
}

func (d *town) agrees(p townsman, want bool) {
	d.t.Helper()
	if text := d.logOf(p); strings.Contains(text, "✓") != want {
		d.t.Errorf("%s sees that it agrees: %v, want %v\n%s", p.call, !want, want, text)
	}
}

func TestWhatAgreesIsShownAndNotTold(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(anna, "ox7ec jo61")
	d.agrees(anna, false)
	d.pass(time.Minute)
	d.tells(bert, "hx7kzq/p jo62")
	d.agrees(anna, true)
	d.agrees(bert, true)
	d.pass(2 * time.Hour)
	d.wants(anna)
	d.wants(bert)
}

func TestWhatIsMissingIsToldToBoth(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(bert, "hx7kzq jo62")
	d.pass(2 * time.Hour)
	d.wants(anna, "13:45 OX7EC JO61 has you in the log, you don't have them: OCHRE-1 13:14. If it was so, send: OX7EC JO61 13:14")
	d.wants(bert, "13:45 HX7KZQ doesn't have you in the log: OCHRE-1 13:14, you have HX7KZQ JO62.")
	d.tells(anna, "ox7ec jo61 13:14 ochre-1")
	d.agrees(anna, true)
	d.pass(time.Hour)
	d.wants(bert,
		"13:45 HX7KZQ doesn't have you in the log: OCHRE-1 13:14, you have HX7KZQ JO62.",
		"15:15 Your contact and HX7KZQ's agree now.")
}

func TestWhatDiffersIsTakenOverByATap(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(anna, "ox7ed jo34")
	d.tells(bert, "hx7kzq jo62")
	d.pass(time.Hour)
	told := "13:45 OX7EC's log differs from yours, OCHRE-1 13:14: You have OX7ED JO34, they are OX7EC JO61."
	d.wants(anna, told+" [Take OX7EC JO61]")
	d.wants(bert, "13:45 HX7KZQ's log differs from yours, OCHRE-1 13:14: They have you as OX7ED JO34.")
	d.taps(anna, d.offer[anna.id])
	d.agrees(anna, true)
	d.tells(anna, "undo")
	d.agrees(anna, false)
	d.taps(anna, d.offer[anna.id])
	d.agrees(anna, true)
	d.taps(anna, d.offer[anna.id]) // nothing is left to take
	if posts := d.heard[anna.id]; !strings.Contains(posts[len(posts)-1], "too old") {
		t.Errorf("a second tap: %s", posts[len(posts)-1])
	}
}

// What is dropped and told again differs as before: it isn't said to be no more. A button
// goes with what it takes over, and with the consent.
func TestWhatDiffersStill(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(bert, "hx7kzq jo62")
	d.pass(time.Hour)
	d.tells(bert, "drop 1")
	d.tells(bert, "hx7kzq jo62 13:15 ochre-1")
	d.pass(time.Hour)
	if text := d.hears(anna); strings.Contains(text, "no more") || strings.Count(text, "has you in the log") != 2 {
		t.Errorf("anna hears\n%s", text)
	}
}

func TestButtonOfWhatDiffersGoes(t *testing.T) {
	for _, deed := range []string{"1 is ox7ec jo61", "/agree off", "drop 1", "/call HX7ABC"} {
		d := someTown(t, anna, bert)
		d.tells(anna, "ox7ed jo61")
		d.tells(bert, "hx7kzq jo62")
		d.pass(time.Hour)
		d.tells(anna, deed)
		told := strings.Split(d.hears(anna), "\n")
		last := slices.IndexFunc(told[1:], func(s string) bool { return strings.Contains(s, "differs from") && !strings.Contains(s, "[Take") })
		if !strings.Contains(told[0], "[Take") || last < 0 {
			t.Errorf("%s: anna hears\n%s", deed, strings.Join(told, "\n"))
		}
	}
}

// Both operators of one call are told once; what names it agrees and differs with nobody's.
func TestAttackSomebodyElsesCall(t *testing.T) {
	d := someTown(t, anna, bert)
	mallory := townsman{"666", "HX7KZQ/P", "JO62"}
	op := storage.Operator{ID: mallory.id, Joined: d.now, Cautioned: d.now, Place: placeAt("JO62"), Remind: storage.DefaultRemind()}
	op.Call = d.operator().Call
	d.must(d.desk.SetUp(op, d.now))
	d.tells(bert, "hx7kzq jo62")
	d.pass(time.Minute)
	d.tells(mallory, "/agree")
	d.taps(mallory, "agree:HX7KZQ")
	d.pass(0)
	twin := "Another operator here says that HX7KZQ is theirs, too. Until one of you says /agree off contacts with that call agree and differ with nobody's."
	on := "13:15 From now on your contacts as HX7KZQ are compared. Those that agree have a ✓ in /log, in the summary and on the map of /worked, while both compare; what differs I tell after the pass. /agree off ends it."
	d.wants(mallory, on, "13:15 "+twin)
	d.wants(anna, "13:15 "+twin)
	d.tells(mallory, "ox7ec jo61")
	d.agrees(mallory, false)
	d.pass(time.Hour)
	d.wants(mallory, on, "13:15 "+twin)
	d.wants(anna, "13:15 "+twin)
	d.wants(bert)
	// The owner gives way: what named the call before is not for who took it then.
	d.tells(anna, "/agree off")
	d.tells(mallory, "ox7ec jo61")
	d.agrees(mallory, false)
	d.pass(time.Hour)
	if text := d.hears(mallory); strings.Contains(text, "OX7EC JO61 has you") || strings.Contains(text, "differs from") {
		t.Errorf("who took a call learns of what was before:\n%s", text)
	}
}

// Another call, even in the middle of a pass, ends the consent, and what was shown with it.
func TestAttackAnotherCallInAPass(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(anna, "ox7ec jo61")
	d.tells(bert, "hx7kzq jo62")
	d.agrees(bert, true)
	d.tells(anna, "/call HX7KZQ/P")
	d.agrees(bert, true)
	d.tells(anna, "/call HX7ABC")
	d.wants(anna, "13:14 You compared your log as HX7KZQ: that is off now. /agree asks anew.")
	d.agrees(bert, false)
	d.tells(anna, "ox7ec jo61")
	d.taps(anna, "agree:HX7KZQ") // a button of before
	d.agrees(anna, false)
}

// The own call of a contact corrected to somebody else's shows nothing of theirs.
func TestAttackOwnCallCorrected(t *testing.T) {
	d := someTown(t, anna, bert, clara)
	d.tells(bert, "di4zab jo63")
	d.tells(anna, "ox7ec jo61")
	d.tells(anna, "/correct mycall DI4ZAB")
	posts := d.heard[anna.id]
	if !strings.Contains(posts[len(posts)-1], "[Change") {
		t.Fatalf("not offered: %s", posts[len(posts)-1])
	}
	d.taps(anna, fmt.Sprintf("bulk:%d:1", d.sent[anna.id]))
	d.agrees(anna, false)
	d.pass(2 * time.Hour)
	d.wants(anna)
}

// Who says off, or is forgotten, is found by nobody any more.
func TestAttackSwitchedOffAndForgotten(t *testing.T) {
	for _, leave := range []string{"/agree off", "/forget"} {
		d := someTown(t, anna, bert)
		d.tells(anna, "ox7ec jo61")
		d.tells(bert, "hx7kzq jo62")
		d.agrees(anna, true)
		d.tells(bert, leave)
		if leave == "/forget" {
			d.taps(bert, fmt.Sprint("forget:", d.now.Unix()))
		}
		d.agrees(anna, false)
		d.tells(anna, "ox7ec jo34")
		d.pass(3 * time.Hour)
		d.wants(anna)
	}
}

// Off and on again in one pass begins anew: what lies before is shared no more, and nobody
// is told that it lacks.
func TestAttackOffAndOnInAPass(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(anna, "ox7ec jo61")
	d.tells(bert, "hx7kzq jo62")
	d.agrees(anna, true)
	d.tells(anna, "/agree off")
	d.agrees(bert, false)
	d.pass(10 * time.Second)
	d.taps(anna, "agree:HX7KZQ")
	d.agrees(anna, false)
	d.agrees(bert, false)
	d.pass(time.Minute)
	d.tells(anna, "ox7ec jo34") // from now on it counts
	d.pass(2 * time.Hour)
	d.wants(bert)
	if text := d.hears(anna); strings.Contains(text, "differs from") || strings.Contains(text, "have you") {
		t.Errorf("of what lies before anna hears\n%s", text)
	}
}

// A button of a consent that ended takes over nothing, nor one that nobody was shown.
func TestAttackButtonsOfBefore(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(anna, "ox7ed jo61")
	d.tells(bert, "hx7kzq jo62")
	d.pass(time.Hour)
	offer := d.offer[anna.id]
	tooOld := func(data string) {
		t.Helper()
		d.taps(anna, data)
		posts := d.heard[anna.id]
		if last := posts[len(posts)-1]; !strings.Contains(last, "too old") {
			t.Errorf("a tap on %s: %s", data, last)
		}
		if log := d.logOf(anna); !strings.Contains(log, "OX7ED JO61") {
			t.Errorf("a tap on %s changed the log:\n%s", data, log)
		}
	}
	d.tells(anna, "/agree off")
	tooOld(offer)
	d.taps(anna, "agree:HX7KZQ")
	for _, data := range []string{offer, "theirs", "theirs:0:1", fmt.Sprintf("theirs:%d:1", d.now.Unix()), "theirs:1:2:3", "agree:OX7EC", "agree"} {
		tooOld(data)
	}
}

// A second phone's contacts are compared as its operator's are; what differs is told to the
// operator alone, whose it is to take over.
func TestSecondPhoneAgrees(t *testing.T) {
	d := someTown(t, anna, bert)
	d.pairs(bert, bertsMate)
	d.tells(anna, "ox7ec jo61")
	d.tells(bertsMate, "hx7kzq jo62")
	d.agrees(anna, true)
	d.agrees(bert, true)
	d.tells(bertsMate, "2 is hx7kzz")
	d.tells(bertsMate, "1 is hx7kzz")
	d.pass(2 * time.Hour)
	if text := d.hears(bert); !strings.Contains(text, "[Take HX7KZQ JO62]") {
		t.Errorf("bert hears\n%s", text)
	}
	d.wants(bertsMate)
	d.taps(bertsMate, d.offer[bert.id])
	d.agrees(bert, false)
	d.tells(bertsMate, "/agree off")
	d.taps(bert, d.offer[bert.id])
	d.agrees(bert, true)
}

// Who says off takes the ✓ along, and nothing of what was told before is said to be no
// more: whether it still differs nobody knows.
func TestWhatWasToldStaysToldWhenTheOtherEnds(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(anna, "ox7ed jo61")
	d.tells(bert, "hx7kzq jo62")
	d.pass(time.Hour)
	told := "13:45 OX7EC's log differs from yours, OCHRE-1 13:14: You have OX7ED JO61, they are OX7EC JO61."
	d.wants(anna, told+" [Take OX7EC JO61]")
	d.tells(bert, "/agree off")
	d.tells(anna, "1 is ox7ee")
	d.pass(3 * time.Hour)
	d.wants(anna, told+" [Take OX7EC JO61]")
}

// Nothing was consented to: nothing is said, shown or told.
func TestAttackWithoutConsent(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(bert, "/agree off")
	d.tells(bert, "hx7kzq jo62")
	d.tells(anna, "ox7ec jo34")
	d.pass(3 * time.Hour)
	d.agrees(anna, false)
	d.wants(anna)
	d.wants(bert, "13:14 Your log is compared with no other. Every ✓ of it is gone, here and there. What I told until now stays told.")
}

// Somebody may name another a hundred times: what they repeat on a pass is told once, and
// so many are told of a day.
func TestAttackNamedAHundredTimes(t *testing.T) {
	d := someTown(t, anna, bert)
	for range 30 {
		d.tells(bert, "hx7kzq jo62")
		d.pass(10 * time.Second)
	}
	d.pass(25 * time.Hour)
	if n := strings.Count(d.hears(anna), "has you in the log"); n != 1 {
		t.Errorf("of one pass told %d, want 1:\n%s", n, d.hears(anna))
	}
	d.heard[anna.id] = nil
	var ch storage.Changes
	d.must(d.store.View(func(v *storage.View) error {
		op, _, err := v.Operator(bert.id)
		c, _, _ := v.Contact(bert.id, 1)
		ch.Operator = &op
		for n := range 100 {
			c.ID, c.Version, c.Time = uint64(1001+n), 1, d.now.Add(-time.Duration(n)*8*time.Minute)
			c.Bird.Catalog = 1 + n%5
			ch.Contacts = append(ch.Contacts, c)
			hour := storage.PassID(c.Time.UTC().Format("20060102T15"))
			ch.Agenda = append(ch.Agenda, tx.Item(anna.id, peers.MomentCompare, d.now.Add(time.Minute), hour, "flood"))
		}
		return err
	}))
	d.must(d.store.Commit("flood", d.now, ch))
	d.pass(time.Hour)
	if n := strings.Count(d.hears(anna), "has you in the log"); n != 8 {
		t.Errorf("of the day told %d, want 8:\n%s", n, d.hears(anna))
	}
}

// Who compares is a first guess of whom a part of a call means, and of where a call alone
// stands; it is asked, and no matter whether they have logged anything.
func TestPeersAreAsked(t *testing.T) {
	for _, tt := range []struct{ said, want string }{
		{"..7EC JO61", "[OX7EC JO61]"},
		{"OX?EC JO61", "[OX7EC JO61]"},
		{"ox7ec", "[OX7EC JO61?]"},
	} {
		for _, on := range []bool{true, false} {
			d := someTown(t, anna, bert)
			if !on {
				d.tells(bert, "/agree off")
			}
			d.tells(anna, tt.said)
			posts := d.heard[anna.id]
			asked := strings.Contains(strings.Join(posts[len(posts)-2:], "\n"), tt.want)
			if asked != on {
				t.Errorf("%q, while bert compares: %v, is answered %q", tt.said, on, posts[len(posts)-2:])
			}
			if logged := strings.Contains(d.logOf(anna), "OX7EC JO61"); logged {
				t.Errorf("%q is logged without an answer", tt.said)
			}
		}
	}
}

// A contact that is told long after, from a recording, is compared at the next full
// quarter-hour.
func TestToldFromARecording(t *testing.T) {
	d := someTown(t, anna, bert)
	d.pass(5 * time.Hour)
	d.tells(bert, "ochre-1 hx7kzq jo62 13:16")
	at := d.now
	d.pass(time.Hour)
	if want := at.Add(time.Minute).Truncate(15*time.Minute).Format("15:04") + " OX7EC JO61 has you"; !strings.HasPrefix(d.hears(anna), want) {
		t.Errorf("anna hears %q, want %q", d.hears(anna), want)
	}
}

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
		hers := []string{"ox7ec jo61", "ox7ed jo61", "/log", "/log ochre-1 13:12"}
		h := slices.Concat(someLines(r, hers[:2], anna), someLines(r, both, bert))
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

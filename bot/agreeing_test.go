package bot

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/lists"
	"skyslate/bot/peers"
	"skyslate/bot/tx"
	"skyslate/storage"
	"skyslate/storage/logbook"
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

// That two logs agree is no confirmation in anybody's sense: the file of a log is the same
// before and after, and holds none of ADIF's fields of confirmations (ADIF 3.1.7, III.B:
// their names have QSL or CREDIT in them).
func TestAgreementConfirmsNothing(t *testing.T) {
	d := someTown(t, anna, bert)
	created := d.now
	file := func() string {
		var text strings.Builder
		d.must(d.store.View(func(v *storage.View) error {
			contacts, err := v.Contacts(anna.id, time.Time{}, d.now.Add(tx.Day))
			return errors.Join(err, logbook.Write(&text, logbook.Entries(contacts), created, "test"))
		}))
		return text.String()
	}
	d.tells(anna, "ox7ec jo61")
	before := file()
	d.pass(time.Minute)
	d.tells(bert, "hx7kzq jo62")
	d.agrees(anna, true)
	after := file()
	if before != after || !strings.Contains(after, "OX7EC") {
		t.Errorf("before\n%s\nafter\n%s", before, after)
	}
	for _, field := range []string{"QSL", "CREDIT"} {
		if strings.Contains(after, field) {
			t.Errorf("%s in\n%s", field, after)
		}
	}
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

// What differs days later is told anew: it changes no post of the first difference.
func TestWhatDiffersDaysLater(t *testing.T) {
	d := someTown(t, anna, bert)
	d.tells(bert, "hx7kzq jo62")
	d.pass(time.Hour)
	d.pass(5*tx.Day - 10*time.Minute) // OCHRE-1 is up again
	d.tells(bert, "hx7kzq jo62")
	d.pass(time.Hour)
	sent := lists.Filter(d.heard[anna.id], func(post string) bool { return strings.Contains(post, " send ") && strings.Contains(post, "has you") })
	if len(sent) != 2 {
		t.Errorf("anna got %d:\n%s", len(sent), strings.Join(d.heard[anna.id], "\n"))
	}
	if n := len(d.operator().Differed); n != 1 {
		t.Errorf("%d differences are kept", n)
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

// Who ended it is asked about no more, also where the same was asked before; the lines of
// before stay as they were read.
func TestPeersWhoEndedAreNotAsked(t *testing.T) {
	for _, leave := range []string{"/agree off", "/forget"} {
		d := someTown(t, anna, bert)
		first := d.tells(anna, "..7EC JO61")
		d.pass(20 * time.Second)
		d.tells(bert, leave)
		if leave == "/forget" {
			d.taps(bert, fmt.Sprint("forget:", d.now.Unix()))
		}
		d.pass(20 * time.Second)
		heard := len(d.heard[anna.id])
		d.tells(anna, "..7EC JO61")
		if posts := strings.Join(d.heard[anna.id][heard:], "\n"); strings.Contains(posts, "OX7EC") {
			t.Errorf("after %s anna is asked\n%s", leave, posts)
		}
		d.edits(anna, first, "..7EC JO61 59")
		d.must(d.store.View(func(v *storage.View) error {
			versions, err := v.History(anna.id, 1)
			if now := versions[len(versions)-1]; len(now.Candidates) != 1 || now.Candidates[0].Call.String() != "OX7EC" {
				t.Errorf("after %s what was told before could be of %v", leave, now.Candidates)
			}
			return err
		}))
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

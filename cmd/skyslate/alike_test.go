package main

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/phones"
)

// What is equal whatever the transport.
//
// The contacts in the log always are, in all their versions. Where the app keeps up
// with the script, so is all that the bot does, in order and to the byte.
//
// Where the app has its pace (a few messages a second in a chat, and what waited for a
// phone that was offline one by one) the bot reads the next line a little later than
// it was typed. There, and only there, these may differ, and nothing else may:
//
//   - the steps between: how much the bot had read when it first answered decides
//     whether it says a thing at once or corrects it, and which row of a pass's
//     timetable its card shows. So posts are compared as they stand at last, and of a
//     card what is not a moment.
//   - the order of posts that don't answer the same message: what is owed goes out by
//     rank, and at what moment the app is ready decides what is owed together.
//   - the second at which a file was made;
//   - moments to the second, in texts, in files and in the log, by up to drift, and
//     when a version of a contact was made by up to handled.

// drift is how far the app's pace may move the moment at which a message is sent,
// handled how far that at which the bot gets round to it.
const (
	drift   = 5 * time.Second
	handled = 30 * time.Second
)

// played is what came of a conversation.
type played struct {
	deeds    []deed
	contacts [][]storage.Contact // each in its versions
	paced    bool                // the app did not keep up with the script
}

// apart tells how two plays of one conversation differ, empty if not at all.
func apart(want, got played) string {
	values := cmpopts.EquateComparable(parse.Callsign{}, parse.Grid{}, parse.Clock{})
	if !want.paced && !got.paced {
		return gocmp.Diff(want.deeds, got.deeds) + gocmp.Diff(want.contacts, got.contacts, values)
	}
	return apartInTheEnd(inTheEnd(want.deeds), inTheEnd(got.deeds)) +
		gocmp.Diff(want.contacts, drifted(want.contacts, got.contacts), values)
}

// drifted are the contacts got with those moments of want's from which they differ
// by no more than the app's pace explains: when a version was made, and the time of a
// contact that has it from its message, be it held to its pass. A time that was typed
// or spoken is exact.
func drifted(want, got [][]storage.Contact) [][]storage.Contact {
	got = slices.Clone(got)
	for i := range min(len(want), len(got)) {
		got[i] = slices.Clone(got[i])
		for j := range min(len(want[i]), len(got[i])) {
			w, g := want[i][j], &got[i][j]
			if g.Made.Sub(w.Made).Abs() <= handled {
				g.Made = w.Made
			}
			told := g.TimeSource == storage.FromTyped || g.TimeSource == storage.FromRecording
			if !told && g.Time.Sub(w.Time).Abs() <= drift {
				g.Time = w.Time
			}
		}
	}
	return got
}

// apartInTheEnd compares chats whose moments may have drifted.
func apartInTheEnd(want, got []deed) string {
	want, got = independent(want), independent(got)
	if len(want) == len(got) {
		for i := range want {
			if nearly(want[i].Text, got[i].Text) {
				got[i].Text = want[i].Text
			}
			if nearly(want[i].File, got[i].File) {
				got[i].File = want[i].File
			}
		}
	}
	return gocmp.Diff(want, got)
}

// inTheEnd is what stands in the chat at last: the posts as they were edited, and
// cards without their moments.
func inTheEnd(all []deed) (last []deed) {
	at := map[string]int{} // by b7
	for _, d := range all {
		if d.Op == string(storage.Edit) {
			post := &last[at[d.To]]
			post.Text, post.Buttons = d.Text, d.Buttons
			continue
		}
		if d.Op != string(storage.React) {
			at[fmt.Sprintf("b%d", len(at)+1)] = len(last)
		}
		last = append(last, d)
	}
	for i := range last {
		last[i].Text = timeless(last[i].Text)
		last[i].File = madeAt.ReplaceAllString(last[i].File, "$1")
	}
	return last
}

// independent orders posts by what they answer; those that answer the same message
// keep their order, those that answer none are independent of each other.
func independent(all []deed) []deed {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b deed) int {
		if c := cmp.Compare(a.To, b.To); c != 0 || a.To != "" {
			return c
		}
		return cmp.Or(
			cmp.Compare(a.Op, b.Op),
			cmp.Compare(clocks.ReplaceAllString(a.Text, ""), clocks.ReplaceAllString(b.Text, "")),
			cmp.Compare(a.Text, b.Text),
			cmp.Compare(a.File, b.File),
		)
	})
	return all
}

// card is how the card of a pass that is up begins; cardRow is a line of it that
// is about a moment.
var (
	card    = regexp.MustCompile(`^\d\d:\d\d:\d\d UTC (look|LOS) `)
	cardRow = regexp.MustCompile(`(?m)^\d\d:\d\d:\d\d .*\n?`)
)

// timeless is a text without the moments that a card moves on with; those of any
// other text stay.
func timeless(text string) string {
	if !card.MatchString(text) {
		return text
	}
	return cardRow.ReplaceAllString(text, "")
}

// madeAt is the moment at which a file was made, of which $1 is all but the second.
var madeAt = regexp.MustCompile(`(CREATED_TIMESTAMP:15>\d{8} \d{4}|DTSTAMP:\d{8}T\d{4})\d\d`)

// clocks are the times of day to the second, in texts and in ADIF.
var clocks = regexp.MustCompile(`\b\d\d:\d\d:\d\d\b|(?:TIME_ON|TIME_OFF):6>\d{6}`)

// nearly reports whether two texts differ in nothing but times of day, and in
// these by no more than drift.
func nearly(a, b string) bool {
	if a == b {
		return true
	}
	if clocks.ReplaceAllString(a, "") != clocks.ReplaceAllString(b, "") {
		return false
	}
	in, on := clocks.FindAllString(a, -1), clocks.FindAllString(b, -1)
	return slices.EqualFunc(in, on, func(a, b string) bool {
		return (ofDay(a) - ofDay(b)).Abs() <= drift
	})
}

// ofDay is the time of day that ends a match of clocks.
func ofDay(s string) time.Duration {
	digits := strings.ReplaceAll(s, ":", "")
	at, err := time.Parse("150405", digits[len(digits)-6:])
	if err != nil {
		return 0 // a number that is no time of day
	}
	return at.Sub(at.Truncate(24 * time.Hour))
}

// contactsIn are the contacts in a store, in all their versions, without what an
// app names its own way; number gives a message its number in the conversation.
func contactsIn(t *testing.T, dir string, op storage.OperatorID, number func(of storage.OperatorID, name string) int64) (all [][]storage.Contact) {
	t.Helper()
	store, err := storage.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	err = store.View(func(v *storage.View) error {
		log, _, err := v.Operator(op)
		if err != nil {
			return err
		}
		numbered := func(message int64) int64 {
			of := op
			for _, p := range log.Phones {
				if p.Number == phones.Of(message) {
					of = p.Of
				}
			}
			return number(of, v.Name(of, phones.OnPhone(message)))
		}
		for id := uint64(1); id < v.NextContact(op); id++ {
			versions, err := v.History(op, id)
			if err != nil {
				return err
			}
			for i := range versions {
				c := &versions[i]
				c.Operator, c.Cause.Event = "", ""
				c.Message, c.Cause.Message = numbered(c.Message), numbered(c.Cause.Message)
				if c.Mark != nil {
					m := *c.Mark
					m.Voice = numbered(m.Voice)
					c.Mark = &m
				}
			}
			all = append(all, versions)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestWhichChatsAreAlike checks that the comparison sees what counts.
func TestWhichChatsAreAlike(t *testing.T) {
	chat := []deed{
		{Op: "send", To: "m1", Text: "1  DI4ZAB JO44\n23 May 10:45:35"},
		{Op: "send", To: "m1", Text: "ask"},
		{Op: "send", Text: "10:44:00 UTC look 212\nWICKET-1\n10:46:00 203\n1 contact"},
		{Op: "send", Text: "reminder"},
	}
	change := func(f func([]deed) []deed) []deed { return f(slices.Clone(chat)) }
	set := func(i int, text string) []deed {
		return change(func(d []deed) []deed { d[i].Text = text; return d })
	}
	for name, tt := range map[string]struct {
		got   []deed
		alike bool
	}{
		"same":                        {chat, true},
		"seconds later":               {set(0, "1  DI4ZAB JO44\n23 May 10:45:38"), true},
		"minutes later":               {set(0, "1  DI4ZAB JO44\n23 May 10:47:35"), false},
		"another call":                {set(0, "1  DI4ZAC JO44\n23 May 10:45:35"), false},
		"another row":                 {set(2, "10:46:00 UTC look 203\nWICKET-1\n10:48:00 203\n1 contact"), true},
		"another contact":             {set(2, "10:44:00 UTC look 212\nWICKET-1\n10:46:00 203\n2 contacts"), false},
		"lost":                        {chat[:3], false},
		"doubled":                     {change(func(d []deed) []deed { return append(d, d[0]) }), false},
		"doubled, for another":        {change(func(d []deed) []deed { d[3] = d[2]; return d }), false},
		"unattached in another order": {change(func(d []deed) []deed { d[2], d[3] = d[3], d[2]; return d }), true},
		"answers in another order":    {change(func(d []deed) []deed { d[0], d[1] = d[1], d[0]; return d }), false},
		"rings":                       {change(func(d []deed) []deed { d[3].Silent = true; return d }), false},
		"edited": {change(func(d []deed) []deed {
			d[3].Text = "remind"
			return append(d, deed{Op: "edit", To: "b4", Text: "reminder"})
		}), true},
	} {
		if d := apartInTheEnd(inTheEnd(chat), inTheEnd(tt.got)); (d == "") != tt.alike {
			t.Errorf("%s: alike is %t, want %t\n%s", name, d == "", tt.alike, d)
		}
	}
}

// TestWhichLogsAreAlike does the same for logs.
func TestWhichLogsAreAlike(t *testing.T) {
	at := time.Date(2027, 5, 23, 10, 45, 35, 0, time.UTC)
	one := storage.Contact{
		ID: 1, Version: 1, Made: at, Time: at, TimeSource: storage.FromMessage, Call: parse.MustParseCallsign("DI4ZAB"),
	}
	log := func(change func(*storage.Contact)) played {
		c := one
		change(&c)
		return played{contacts: [][]storage.Contact{{c}}}
	}
	want := log(func(*storage.Contact) {})
	seconds := log(func(c *storage.Contact) { c.Time, c.Made = at.Add(3*time.Second), at.Add(5*time.Second) })
	typed := log(func(c *storage.Contact) { c.Time, c.TimeSource = at.Add(3*time.Second), storage.FromTyped })
	for name, tt := range map[string]struct {
		got          played
		alike, paced bool // paced: alike where the app has its pace
	}{
		"same":               {want, true, true},
		"seconds later":      {seconds, false, true},
		"minutes later":      {log(func(c *storage.Contact) { c.Time = at.Add(time.Minute) }), false, false},
		"another typed time": {typed, false, false},
		"another call":       {log(func(c *storage.Contact) { c.Call = parse.MustParseCallsign("DI4ZAC") }), false, false},
		"lost":               {played{}, false, false},
		"doubled":            {played{contacts: slices.Repeat(want.contacts, 2)}, false, false},
		"changed twice":      {played{contacts: [][]storage.Contact{slices.Repeat(want.contacts[0], 2)}}, false, false},
	} {
		if d := apart(want, tt.got); (d == "") != tt.alike {
			t.Errorf("%s: alike is %t, want %t\n%s", name, d == "", tt.alike, d)
		}
		tt.got.paced = true
		if d := apart(want, tt.got); (d == "") != tt.paced {
			t.Errorf("%s, paced: alike is %t, want %t\n%s", name, d == "", tt.paced, d)
		}
	}
}

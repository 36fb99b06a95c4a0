package bot

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// several are phones of several people in one store. OCHRE-1 is up from 13:12:55 to
// 13:23:46 (passes.csv).
type several struct {
	*field
	sentBy map[storage.OperatorID]int64
	events int
}

const (
	inga  storage.OperatorID = "7"
	mate  storage.OperatorID = "8"
	berta storage.OperatorID = "9"
)

func newSeveral(t *testing.T) *several {
	f := newField(t, "2026-09-01T13:13:30Z")
	f.desk.newCode = func(event string) string { return "phone-" + event }
	return &several{field: f, sentBy: map[storage.OperatorID]int64{}}
}

// setUp makes somebody an operator with a log of their own.
func (f *several) setUp(op storage.OperatorID, call string) {
	f.t.Helper()
	f.must(f.desk.SetUp(storage.Operator{
		ID: op, Joined: f.now, Cautioned: f.now, Call: parse.MustParseCallsign(call),
		Place: placeAt("JO62"), Remind: storage.DefaultRemind(),
	}, f.now))
	f.until(f.now)
}

// raw is an event of somebody's as it comes in.
func (f *several) raw(op storage.OperatorID, e event.Event) storage.Raw {
	f.t.Helper()
	f.events++
	e.ID, e.Operator = fmt.Sprintf("%s-%d", op, f.events), op
	if e.At.IsZero() {
		e.At = f.now
	}
	raw, err := event.Encode(e)
	f.must(err)
	return raw
}

func (f *several) by(op storage.OperatorID, e event.Event) []Outgoing {
	f.t.Helper()
	from := len(f.said)
	f.must(f.desk.Accept(nil, f.raw(op, e)))
	f.work()
	return f.said[from:]
}

// says sends a message a few seconds later, and returns what is said to each.
func (f *several) says(op storage.OperatorID, text string) map[storage.OperatorID][]string {
	f.t.Helper()
	f.until(f.now.Add(4 * time.Second))
	f.sentBy[op]++
	return saidTo(f.by(op, event.Event{Kind: event.Said, Message: f.sentBy[op], Text: text}))
}

func (f *several) edits(op storage.OperatorID, message int64, text string) map[storage.OperatorID][]string {
	f.t.Helper()
	f.until(f.now.Add(4 * time.Second))
	return saidTo(f.by(op, event.Event{Kind: event.Edited, Message: message, Text: text}))
}

func saidTo(all []Outgoing) map[storage.OperatorID][]string {
	texts := map[storage.OperatorID][]string{}
	for _, o := range all {
		texts[o.Operator] = append(texts[o.Operator], o.Text)
	}
	return texts
}

// code is the code that an operator is given for a second phone.
func (f *several) code(op storage.OperatorID) string {
	f.t.Helper()
	for _, text := range f.says(op, "/second")[op] {
		if lines := strings.Split(text, "\n"); strings.HasPrefix(lines[len(lines)-1], "phone-") {
			return lines[len(lines)-1]
		}
	}
	f.t.Fatalf("%s is given no code", op)
	return ""
}

// joined lets a second phone into a log.
func (f *several) joined(log, phone storage.OperatorID) {
	f.t.Helper()
	f.says(phone, f.code(log))
	if s := f.seatOf(phone); s.Log != log || !s.Holds(f.now) {
		f.t.Fatalf("%s has the seat %+v", phone, s)
	}
}

func (f *several) seatOf(op storage.OperatorID) (s storage.Seat) {
	f.must(f.store.View(func(v *storage.View) error { s = v.Seat(op); return nil }))
	return s
}

// logOf is the log of an operator: the calls and grids of what stands in it.
func (f *several) logOf(op storage.OperatorID) (log []string) {
	f.t.Helper()
	f.must(f.store.View(func(v *storage.View) error {
		all, err := v.Contacts(op, time.Time{}, f.now.Add(48*time.Hour))
		for _, c := range all {
			if c.State != storage.Dropped {
				log = append(log, strings.TrimSpace(fmt.Sprint(c.Call, " ", strings.Trim(fmt.Sprint(c.Grids), "[]"), " ", c.State)))
			}
		}
		return err
	}))
	slices.Sort(log)
	return log
}

func (f *several) wantLog(op storage.OperatorID, want ...string) {
	f.t.Helper()
	if got := f.logOf(op); !slices.Equal(got, want) {
		f.t.Errorf("the log of %s is %q, want %q", op, got, want)
	}
}

func (f *several) wantSaid(said map[storage.OperatorID][]string, op storage.OperatorID, want string) {
	f.t.Helper()
	if !slices.ContainsFunc(said[op], func(text string) bool {
		return strings.Contains(strings.ReplaceAll(text, "\n", " "), strings.ReplaceAll(want, "\n", " "))
	}) {
		f.t.Errorf("%s is told %q, want %q", op, said[op], want)
	}
}

// Both see every echo; each takes back its own.
func TestSecondPhoneLogs(t *testing.T) {
	f := newSeveral(t)
	f.joined(inga, mate)
	for op, text := range map[storage.OperatorID]string{inga: "di4zab jo43", mate: "ox7ec jo33"} {
		said := f.says(op, text)
		for _, phone := range []storage.OperatorID{inga, mate} {
			f.wantSaid(said, phone, strings.ToUpper(text))
		}
	}
	f.wantLog(inga, "DI4ZAB JO43 certain", "OX7EC JO33 certain")
	said := f.edits(mate, f.sentBy[mate], "ox7ec jo34")
	f.wantSaid(said, inga, "OX7EC JO34")
	f.wantSaid(said, mate, "OX7EC JO34")
	f.says(mate, "undo")
	f.says(mate, "undo")
	f.wantLog(inga, "DI4ZAB JO43 certain")
	f.wantSaid(f.says(mate, "undo"), mate, say.NothingToUndo)
	f.says(inga, "undo")
	f.wantLog(inga)
	f.wantLog(mate)
}

// What belongs together by standing together does so on one phone.
func TestHalvesOfTwoPhonesAreAsked(t *testing.T) {
	for _, tt := range []struct {
		name         string
		first, third string // the operator's
		second       string // the second phone's
		want         []string
	}{
		{"halves", "di4zab", "jo43", "ox7ec jo33", []string{"DI4ZAB JO43 certain", "OX7EC JO33 certain"}},
		{"a grid for the other's call", "fine weather", "jo43", "di4zab", []string{"DI4ZAB  incomplete", "JO43 doubtful"}},
		{"a correction of one's own", "di4zab jo43", "I meant jo44", "ox7ec jo33", []string{"DI4ZAB JO43 certain", "JO44 doubtful", "OX7EC JO33 certain"}},
		{"scratch that", "di4zab jo43", "scratch that", "ox7ec jo33", []string{"DI4ZAB JO43 certain", "OX7EC JO33 doubtful"}},
		{"a time alone", "13:13", "di4zab jo43 59", "ox7ec jo33", []string{"DI4ZAB JO43 certain", "OX7EC JO33 certain"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := newSeveral(t)
			f.joined(inga, mate)
			f.says(inga, tt.first)
			f.says(mate, tt.second)
			f.says(inga, tt.third)
			f.wantLog(inga, tt.want...)
		})
	}
}

// A time on a line of its own is for the phone that told it.
func TestTimeAloneIsOnePhones(t *testing.T) {
	f := newSeveral(t)
	f.joined(inga, mate)
	f.says(mate, "13:13")
	f.says(inga, "di4zab jo43")
	f.says(mate, "ox7ec jo33")
	for _, c := range f.contacts() {
		if typed := c.TimeSource == storage.FromTyped; typed != (c.Call.String() == "OX7EC") {
			t.Errorf("%s has its time from %s", c.Call, c.TimeSource)
		}
	}
}

// Call, place, passes, files and settings are the operator's; to ask is both's.
func TestSecondPhoneIsRefused(t *testing.T) {
	f := newSeveral(t)
	f.joined(inga, mate)
	before := f.operator()
	for _, text := range []string{
		"/call OX9QZT", "/at JO33", "/remind off", "/birds OCHRE-1 off", "/adif", "/outing JO33 tomorrow 9-15", "/sked DI4ZAB JO43 13:15",
		"/horizon 20", "/wanted JO33", "/calendar", "i am in jo33 now",
	} {
		said := f.says(mate, text)
		f.wantSaid(said, mate, "This phone writes into the log of HX7KZQ")
		if len(said[inga]) > 0 {
			t.Errorf("%s tells the operator %q", text, said[inga])
		}
	}
	for _, e := range []event.Event{
		{Kind: event.Placed, Message: 1001, Spot: &event.Spot{LatDeg: 50, LonDeg: 9}},
		{Kind: event.Handed, Message: 1002, File: &event.Document{Name: "x.adi", Body: []byte("<EOH><CALL:6>DI4ZAB<EOR>")}},
		{Kind: event.Spoken, Message: 1003, Voice: "sound", Length: time.Minute},
		{Kind: event.Tapped, Data: "skip:20260901T131255Z-90001"},
	} {
		f.wantSaid(saidTo(f.by(mate, e)), mate, "This phone writes into the log of HX7KZQ")
	}
	after := f.operator()
	if after.Call != before.Call || !slices.Equal(after.Place.Grids, before.Place.Grids) || len(after.Outings) > 0 || after.Remind.Off {
		t.Errorf("a second phone changed the settings to %+v", after)
	}
	f.wantLog(inga)
	f.says(inga, "di4zab jo43")
	f.wantSaid(f.says(mate, "/log"), mate, "DI4ZAB")
	f.wantSaid(f.says(mate, "when is the next pass?"), mate, "UTC")
}

// Each is an attempt on a log, or a mishap, with its outcome.
func TestSecondPhoneAttacks(t *testing.T) {
	for name, attack := range map[string]func(*testing.T, *several){
		"a code used twice": func(t *testing.T, f *several) {
			code := f.code(inga)
			f.says(mate, code)
			f.wantSaid(f.says(berta, code), berta, say.CodeOver)
			f.says(berta, "ox7ec jo33")
			f.wantLog(inga)
			if f.desk.Lets(berta, code, f.now) {
				t.Error("a used code lets somebody in")
			}
		},
		"a code that was guessed": func(t *testing.T, f *several) {
			f.code(inga)
			f.says(berta, "phone-x")
			f.says(berta, "ox7ec jo33")
			f.wantLog(inga)
			if f.desk.Lets(berta, "phone-x", f.now) || f.desk.Lets(berta, "", f.now) {
				t.Error("a stranger is let in")
			}
		},
		"a code taken back": func(t *testing.T, f *several) {
			code := f.code(inga)
			f.wantSaid(f.says(inga, "/second off"), inga, say.OfferOff)
			f.says(mate, code)
			f.says(mate, "ox7ec jo33")
			f.wantLog(inga)
		},
		"a code after its day": func(t *testing.T, f *several) {
			code := f.code(inga)
			f.until(f.now.Add(24 * time.Hour))
			if f.desk.Lets(mate, code, f.now) {
				t.Error("a code lets somebody in after its day")
			}
			f.wantSaid(f.says(mate, code), mate, say.CodeOver)
		},
		"a code forwarded": func(t *testing.T, f *several) {
			f.setUp(berta, "HX7ZZQ")
			code := f.code(inga)
			for _, op := range []storage.OperatorID{mate, berta, inga} {
				said := f.by(op, event.Event{Kind: event.Said, Message: 40, Text: code, Forwarded: true})
				f.wantSaid(saidTo(said), op, say.NoCode)
			}
			f.says(berta, "ox7ec jo33")
			f.wantLog(inga)
			f.says(mate, code) // it lets in whoever sends it
			f.says(mate, "di4zab jo43")
			f.wantLog(inga, "DI4ZAB JO43 certain")
		},
		"two codes": func(t *testing.T, f *several) {
			first := f.code(inga)
			second := f.code(inga)
			f.wantSaid(f.says(berta, first), berta, say.NoCode)
			f.says(mate, second)
			f.says(berta, "ox7ec jo33")
			f.says(mate, "di4zab jo43")
			f.wantLog(inga, "DI4ZAB JO43 certain")
		},
		"a code of somebody who has a log": func(t *testing.T, f *several) {
			f.setUp(mate, "HX7ZZQ")
			f.says(mate, "2z0vek io85")
			f.joined(inga, mate)
			f.says(mate, "/call OX9QZT")
			f.says(mate, "/agree")
			f.by(mate, event.Event{Kind: event.Tapped, Data: "agree:HX7KZQ"})
			if op := f.operator(); op.Call.String() != "HX7KZQ" || op.Agreeing.Call.IsValid() {
				t.Errorf("a second phone changed the call to %s, the consent to %+v", op.Call, op.Agreeing)
			}
			f.wantLog(mate, "2Z0VEK IO85 certain")
		},
		"another call amid the day": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.says(mate, "ox7ec jo33")
			f.says(inga, "/call HX7ABC")
			f.says(mate, "di4zab jo43")
			var under []string
			for _, c := range f.contacts() {
				under = append(under, c.Call.String()+" by "+c.OwnCall.String())
			}
			if want := []string{"OX7EC by HX7KZQ", "DI4ZAB by HX7ABC"}; !slices.Equal(under, want) {
				t.Errorf("logged are %q, want %q", under, want)
			}
			f.wantSaid(f.says(mate, "/second"), mate, "the log of HX7ABC")
		},
		"one contact told by both": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.says(inga, "ox7ec jo33")
			f.says(mate, "ox7ec jo33")
			if entries := logbook.Entries(f.contacts()); len(entries) != 1 {
				t.Errorf("a file has %d entries of one contact", len(entries))
			}
			f.says(mate, "undo")
			f.wantLog(inga, "OX7EC JO33 certain")
		},
		"a yes to a question of the own log from before": func(t *testing.T, f *several) {
			f.setUp(mate, "HX7ZZQ")
			f.says(mate, "2z0vek io85?")
			f.joined(inga, mate)
			f.says(inga, "ox7ec jo33")
			f.says(mate, "yes")
			f.wantLog(mate, "2Z0VEK IO85 doubtful")
			f.wantLog(inga, "OX7EC JO33 certain")
		},
		"an end told in answer to the own log": func(t *testing.T, f *several) {
			f.setUp(mate, "HX7ZZQ")
			f.says(mate, "2z0vek io85")
			own := f.sentBy[mate]
			f.joined(inga, mate)
			said := f.by(mate, event.Event{Kind: event.Said, Message: 60, Text: "/second off", ReplyTo: own})
			f.wantSaid(saidTo(said), mate, say.SecondElsewhere)
			f.wantSaid(f.says(mate, "/second off"), mate, "You ended it")
			f.wantSaid(f.says(mate, "/second off"), mate, "your time there is over")
		},
		"an old end tapped": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.says(inga, "/second off")
			f.wantSaid(saidTo(f.by(mate, event.Event{Kind: event.Tapped, Data: "unsecond"})), mate, "your time there is over")
			f.wantSaid(saidTo(f.by(inga, event.Event{Kind: event.Tapped, Data: "unsecond"})), inga, say.NoSecond)
		},
		"one's own code": func(t *testing.T, f *several) {
			code := f.code(inga)
			f.wantSaid(f.says(inga, code), inga, say.OwnCode)
			f.says(inga, "di4zab jo43")
			f.wantLog(inga, "DI4ZAB JO43 certain")
		},
		"two second phones": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.wantSaid(f.says(inga, "/second"), inga, "A second phone writes into your log")
			f.says(berta, "ox7ec jo33")
			f.wantLog(inga)
		},
		"a second phone that invites further": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			said := f.says(mate, "/second")
			f.wantSaid(said, mate, "You write into the log of HX7KZQ")
			if strings.Contains(fmt.Sprint(said), "phone-") {
				t.Errorf("a second phone is given a code: %q", said)
			}
		},
		"a loop": func(t *testing.T, f *several) {
			f.setUp(mate, "HX7ZZQ")
			code := f.code(mate)
			f.joined(inga, mate)
			f.wantSaid(f.says(inga, code), inga, say.SecondInTurn)
			f.says(inga, "di4zab jo43")
			f.says(mate, "ox7ec jo33")
			f.wantLog(inga, "DI4ZAB JO43 certain", "OX7EC JO33 certain")
			f.wantLog(mate)
		},
		"a chain": func(t *testing.T, f *several) {
			f.setUp(mate, "HX7ZZQ")
			code := f.code(mate)
			f.joined(inga, mate)
			f.wantSaid(f.says(berta, code), berta, say.SecondInTurn)
			f.says(berta, "ox7ec jo33")
			f.wantLog(inga)
			f.wantLog(mate)
		},
		"a line after the end": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.says(inga, "/second off")
			f.says(mate, "ox7ec jo33")
			f.wantLog(inga)
		},
		"an edit after the end": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.says(mate, "ox7ec jo33")
			line := f.sentBy[mate]
			f.says(mate, "/second off")
			f.wantSaid(f.edits(mate, line, "ox7ec jo34"), mate, "Not logged anywhere: “ox7ec jo34”")
			f.wantLog(inga, "OX7EC JO33 certain")
		},
		"a tap after the end": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.says(mate, "ox7ec jo33?")
			var asked storage.Post
			f.must(f.store.View(func(v *storage.View) (err error) {
				asked, _, err = v.Post("8/with/7/ask/1")
				return err
			}))
			f.says(inga, "/second off")
			said := f.by(mate, event.Event{Kind: event.Tapped, Post: asked.AppID, Data: asked.Buttons[0][0].Data})
			f.wantSaid(saidTo(said), mate, "Not logged anywhere")
			f.wantLog(inga, "OX7EC JO33 doubtful")
		},
		"a line sent before the end and worked after it": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.until(f.now.Add(10 * time.Second))
			waits := f.raw(mate, event.Event{Kind: event.Said, Message: 50, Text: "ox7ec jo33"})
			f.until(f.now.Add(10 * time.Second))
			f.says(inga, "/second off")
			f.must(f.desk.Accept(nil, waits))
			f.work()
			f.wantLog(inga, "OX7EC JO33 certain")
		},
		"a line that came in before the end was worked": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.until(f.now.Add(10 * time.Second))
			end := f.raw(inga, event.Event{Kind: event.Said, Message: 50, Text: "/second off"})
			f.until(f.now.Add(10 * time.Second))
			late := f.raw(mate, event.Event{Kind: event.Said, Message: 51, Text: "ox7ec jo33"})
			f.must(f.desk.Accept(nil, end, late))
			from := len(f.said)
			f.work()
			f.wantSaid(saidTo(f.said[from:]), mate, "Not logged anywhere: “ox7ec jo33”")
			f.wantLog(inga)
		},
		"the end of the day": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			from := len(f.said)
			f.until(f.seatOf(mate).Until)
			f.wantSaid(saidTo(f.said[from:]), inga, "writes no more")
			f.wantSaid(saidTo(f.said[from:]), mate, "no more")
			f.says(mate, "ox7ec jo33")
			f.wantLog(inga)
		},
		"the operator is forgotten": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.says(mate, "ox7ec jo33")
			f.says(inga, "/forget")
			from := len(f.said)
			f.by(inga, event.Event{Kind: event.Tapped, Data: fmt.Sprintf("forget:%d", f.now.Unix())})
			f.wantSaid(saidTo(f.said[from:]), mate, "Its operator ended it")
			if s := f.seatOf(mate); s.Log != "" || len(s.Before) > 0 {
				t.Errorf("of the log the seat %+v remains", s)
			}
			f.says(mate, "di4zab jo43")
			f.wantLog(inga)
		},
		"the second phone's operator is forgotten": func(t *testing.T, f *several) {
			f.setUp(mate, "HX7ZZQ")
			f.joined(inga, mate)
			f.says(mate, "ox7ec jo33")
			f.says(mate, "/forget")
			from := len(f.said)
			f.by(mate, event.Event{Kind: event.Tapped, Data: fmt.Sprintf("forget:%d", f.now.Unix())})
			f.wantSaid(saidTo(f.said[from:]), mate, say.RemainsInLogs)
			f.wantSaid(saidTo(f.said[from:]), inga, "writes no more")
			if op := f.operator(); len(op.Phones) > 0 {
				t.Errorf("who is forgotten stands in the log: %+v", op.Phones)
			}
			f.wantLog(inga, "OX7EC JO33 certain")
		},
		"a flood": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			for i := range int64(mostInMinute + 20) {
				f.must(f.desk.Accept(nil, f.raw(mate, event.Event{Kind: event.Said, Message: 100 + i, Text: "hm"})))
			}
			f.work()
			f.wantSaid(saidTo(f.said), mate, say.TooManyNow)
			f.says(inga, "di4zab jo43") // whose limits are their own
			f.wantLog(inga, "DI4ZAB JO43 certain")
		},
	} {
		t.Run(name, func(t *testing.T) { attack(t, newSeveral(t)) })
	}
}

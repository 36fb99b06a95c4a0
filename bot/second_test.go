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

// Two phones that come back at one moment are asked apart which pass they tell of, and an
// answer for one is none for the other: one was silent for longer, and may mean more passes.
func TestDeliveriesOfOneMoment(t *testing.T) {
	f := newSeveral(t)
	f.joined(inga, mate)
	f.says(inga, "di4zab jo43")
	f.until(f.now.Add(20 * time.Minute))
	f.says(mate, "fine weather")
	f.until(f.now.Add(5 * time.Hour))                // no pass has set of late
	asked := map[storage.OperatorID]storage.Button{} // with the first pass to choose
	for op, text := range map[storage.OperatorID]string{inga: "hx7abc jo62", mate: "sk8abc jo63"} {
		f.sentBy[op]++
		for _, o := range f.by(op, event.Event{Kind: event.Said, Message: f.sentBy[op], Text: text}) {
			if o.Operator == inga && strings.Contains(o.Name, "/which/") {
				asked[op] = o.Buttons[0][0]
			}
		}
	}
	if asked[inga].Label == asked[mate].Label || asked[inga].Label == "" || asked[mate].Label == "" {
		t.Fatalf("asked %v", asked)
	}
	f.wantLog(inga, "DI4ZAB JO43 certain", "HX7ABC JO62 doubtful", "SK8ABC JO63 doubtful")
	f.by(inga, event.Event{Kind: event.Tapped, Data: asked[mate].Data})
	f.wantLog(inga, "DI4ZAB JO43 certain", "HX7ABC JO62 doubtful", "SK8ABC JO63 certain")
	f.by(inga, event.Event{Kind: event.Tapped, Data: asked[inga].Data})
	f.wantLog(inga, "DI4ZAB JO43 certain", "HX7ABC JO62 certain", "SK8ABC JO63 certain")
	var passes []storage.PassID
	for _, c := range f.contacts() {
		passes = append(passes, c.Pass)
	}
	if i := strings.Index(asked[inga].Data, "2026"); !slices.Contains(passes, storage.PassID(asked[inga].Data[i:])) {
		t.Errorf("the contacts are of %v, and none of %v", passes, asked[inga])
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

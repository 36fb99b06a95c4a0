package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/exchange"
	"skyslate/bot/say"
	"skyslate/bot/say/limits"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

func (f *field) count(text string) (n int) {
	for _, o := range f.said {
		if o.Text == text {
			n++
		}
	}
	return n
}

// Each limit is said once, holds until its time is over, and stops nobody from
// leaving.
func TestLimits(t *testing.T) {
	flow := func(f *field, change func(*storage.Flow)) {
		var op storage.Operator
		f.must(f.store.View(func(v *storage.View) (err error) { op, _, err = v.Operator("7"); return err }))
		op.Flow.Minute, op.Flow.Day = f.now.Truncate(time.Minute), f.now.Truncate(tx.Day)
		change(&op.Flow)
		f.must(f.store.Commit("flow"+stamp(f.now), f.now, storage.Changes{Operator: &op}))
	}
	document := event.Event{Kind: event.Handed, Message: 99, File: &event.Document{Name: "x.txt", Body: []byte("x")}}
	for _, tt := range []struct {
		name  string
		near  func(*storage.Flow)
		says  string
		over  time.Duration
		event func(f *field)
	}{
		{"minute", func(f *storage.Flow) { f.InMinute = mostInMinute }, limits.TooManyNow, time.Minute, nil},
		{"day", func(f *storage.Flow) { f.InDay = mostInDay }, limits.TooManyToday, 24 * time.Hour, nil},
		{"files", func(f *storage.Flow) { f.Made = tx.MostMade }, limits.TooManyMade, 24 * time.Hour, func(f *field) { f.say("/look") }},
		{"documents not fetched", func(*storage.Flow) {}, limits.TooManyDocuments, 24 * time.Hour, func(f *field) {
			e := document
			e.ID, e.File, e.Lost = fmt.Sprint("lost", f.now, len(f.said), f.count(limits.TooManyDocuments)), nil, event.LostMany
			f.event(e)
		}},
		{"contacts", func(f *storage.Flow) { f.Contacts = mostContacts + 1 }, limits.TooManyContacts, 24 * time.Hour, nil},
		{"documents", func(f *storage.Flow) { f.Documents = mostDocuments }, limits.TooManyDocuments, 24 * time.Hour, func(f *field) {
			e := document
			e.ID = fmt.Sprint("doc", f.now, len(f.said))
			f.event(e)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := newField(t, "2026-09-01T06:00:00Z")
			send := tt.event
			if send == nil {
				send = func(f *field) { f.say("hx7abc jo33") }
			}
			flow(f, tt.near)
			send(f)
			send(f)
			if n := f.count(tt.says); n != 1 {
				t.Errorf("said %d times, want once:\n%s", n, f.texts(0))
			}
			if n := len(f.contacts()); n != 0 {
				t.Errorf("%d contacts beyond the limit", n)
			}
			if tt.name != "minute" {
				f.say("/forget")
				if !strings.Contains(f.said[len(f.said)-1].Text, "removes your settings") {
					t.Errorf("/forget is answered with %q", f.said[len(f.said)-1].Text)
				}
			}
			f.now = f.now.Add(tt.over)
			before := len(f.said)
			send(f)
			if want := map[bool]int{true: 2, false: 1}[strings.HasPrefix(tt.name, "documents not")]; f.count(tt.says) != want || len(f.said) == before {
				t.Errorf("after %s:\n%s", tt.over, f.texts(before))
			}
		})
	}
}

// A file that is asked for counts however that is done, each request once; beyond the limit
// there is none.
func TestFilesCountHoweverAskedFor(t *testing.T) {
	f := newField(t, "2026-09-01T13:13:30Z")
	tap := func(verb string, about ...any) func() {
		return func() {
			f.event(event.Event{ID: fmt.Sprint("tap", len(f.said), verb), Kind: event.Tapped, Data: tx.Button("", verb, about...).Data})
		}
	}
	said := func(text string) func() { return func() { f.say(text) } }
	f.say("ox7ec jo33")
	at := f.contacts()[0].Pass
	op := f.operator()
	op.Outings = []storage.Outing{{ID: 3, Place: op.Place, From: f.now, Until: f.now.Add(tx.Day / 2), Birds: []string{"OCHRE-1", "CELADON"}, Armed: f.now}}
	f.must(f.store.Commit("outing", f.now, storage.Changes{Operator: &op}))
	f.say("/passes")
	files := func(from int) (n int) {
		for _, o := range f.said[from:] {
			if o.Op == storage.File {
				n++
			}
		}
		return n
	}
	ways := map[string]func(){
		"/look": said("/look"), "show me the sky": said("show me the sky"), "/reach": said("/reach"), "/worked": said("/worked"),
		"/adif": said("/adif all"), "adif": said("adif all"), "/calendar": said("/calendar"),
		"sky button": tap(watch.TapSky, at), "reach button": tap(watch.TapReach, at),
		"calendar button": tap(watch.TapCalendar, 3), "timetable button": tap(watch.TapSheets, 3),
	}
	for how, ask := range ways {
		from, before := len(f.said), f.operator().Flow.Made
		ask()
		if n := f.operator().Flow.Made - before; files(from) != 1 || n != 1 {
			t.Errorf("%s: %d files, counted %d:\n%s", how, files(from), n, f.texts(from))
		}
	}
	op = f.operator()
	op.Flow.Made = tx.MostMade
	f.must(f.store.Commit("full", f.now, storage.Changes{Operator: &op}))
	from := len(f.said)
	for how, ask := range ways {
		if ask(); files(from) > 0 {
			t.Errorf("%s: a file too many", how)
		}
	}
	if n := f.count(limits.TooManyMade); n != 1 {
		t.Errorf("said %d times that there are too many", n)
	}
}

// A line that names very many contacts changes none, says so, and leaves nothing behind of
// each number.
func TestLineOfManyNumbers(t *testing.T) {
	f := newField(t, "2026-09-01T13:13:30Z")
	f.say("ox7ec jo33")
	for _, line := range []string{"drop 1-999", "drop 1-60 and 62-150", "999-1 are /p"} {
		f.say(line)
		var s storage.Sitting
		f.must(f.store.View(func(v *storage.View) (err error) { s, _, err = v.Sitting("7", 1); return err }))
		if last := f.said[len(f.said)-1]; last.Text != limits.TooManyNumbers || !f.contacts()[0].Exported() || len(s.Frozen.Numbered) > 0 {
			t.Errorf("%q is answered %q; the contact is %s, %d numbers are kept", line, last.Text, f.contacts()[0].State, len(s.Frozen.Numbered))
		}
	}
	if f.say("drop 1-100"); f.contacts()[0].Exported() {
		t.Error("a line of as many as there may be drops none")
	}
}

// What is kept of an operator is bounded too, and that is said.
func TestStandingLimits(t *testing.T) {
	change := func(f *field, change func(*storage.Operator)) {
		op := f.operator()
		change(&op)
		f.must(f.store.Commit("change"+stamp(f.now), f.now, storage.Changes{Operator: &op}))
	}
	sets := func(n int) []byte {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, `{"OBJECT_NAME":"INVENTED %d","OBJECT_ID":"2026-901A","EPOCH":"2026-09-01T00:00:00.000000","MEAN_MOTION":14.9,"ECCENTRICITY":0.001,"INCLINATION":67,
"RA_OF_ASC_NODE":%d,"ARG_OF_PERICENTER":80,"MEAN_ANOMALY":10,"EPHEMERIS_TYPE":0,"CLASSIFICATION_TYPE":"U","NORAD_CAT_ID":%d,"ELEMENT_SET_NO":1,"REV_AT_EPOCH":1,"BSTAR":0.00001,"MEAN_MOTION_DOT":0,"MEAN_MOTION_DDOT":0},`, i, i, 700000+i)
		}
		return []byte("[" + strings.TrimSuffix(b.String(), ",") + "]")
	}
	for _, tt := range []struct {
		name, says string
		reach      func(f *field)
	}{
		{"bytes", limits.TooMuchStored, func(f *field) {
			change(f, func(op *storage.Operator) { op.Stored = mostStored + 1 })
			f.say("hx7abc jo33")
			f.say("hx7abc jo33")
		}},
		{"birds", say.TooManyBirds(sky.MostBirds), func(f *field) {
			for i := range sky.MostBirds + 1 {
				f.say(fmt.Sprintf("/birds add MOTH-%d %d 145.9/435.%03d", i, 800000+i, i+100))
			}
		}},
		{"element sets", "Left out: 7; 100 sets are as many as I keep for you.", func(f *field) {
			f.event(event.Event{ID: "sets", Kind: event.Handed, Message: 77, File: &event.Document{Name: "x.json", Body: sets(sky.MostSets + 7)}})
		}},
		{"large elements", say.LargeElements, func(f *field) {
			f.event(event.Event{ID: "large", Kind: event.Handed, Message: 77, File: &event.Document{Name: "x", Body: make([]byte, 4<<20+1)}})
		}},
		{"a large document", say.TooLarge, func(f *field) {
			f.event(event.Event{ID: "large", Kind: event.Handed, Message: 77, File: &event.Document{Name: "x", Body: make([]byte, event.MaxDocument+1)}})
		}},
		{"a document that is gone", limits.FileGone, func(f *field) {
			f.event(event.Event{ID: "gone", Kind: event.Handed, Message: 77, Lost: event.LostGone})
		}},
		{"wanted grids", say.TooManyWanted(13, watch.MostWanted), func(f *field) {
			f.say("/wanted JO10 JO11 JO12 JO13 JO14 JO15 JO16 JO17 JO18 JO19 JO20 JO21 JO22")
		}},
		{"horizon", "at most 8", func(f *field) { f.say("/horizon 1,2,3,4,5,6,7,8,9") }},
		{"outings", limits.TooManyOutings, func(f *field) {
			change(f, func(op *storage.Operator) {
				for i := range watch.MostOutings {
					op.Outings = append(op.Outings, storage.Outing{ID: int64(i + 1), Place: op.Place, From: f.now, Until: f.now.Add(tx.Day), Armed: f.now})
				}
			})
			f.say("/outing IP73 2 sep 9-15")
		}},
		{"an outing too far ahead", "28 days", func(f *field) { f.say("/outing IP73 2026-12-24 9-15") }},
		{"passes armed", limits.TooManyArmed, func(f *field) {
			var passes []storage.Pass
			for i := range watch.MostArmed {
				at := f.now.Add(time.Duration(i+1) * 10 * time.Minute)
				passes = append(passes, storage.Pass{
					ID: storage.PassID(fmt.Sprintf("%s-1", at.Format("20060102T150405Z"))), Operator: "7", Arm: storage.ArmHand,
					AOS: at, TCA: at.Add(time.Minute), LOS: at.Add(2 * time.Minute), Bird: storage.BirdRef{Name: "OCHRE-1", Catalog: 1},
				})
			}
			f.must(f.store.Commit("many", f.now, storage.Changes{Passes: passes}))
			f.say("/passes")
			last := f.said[len(f.said)-1]
			for _, row := range last.Buttons {
				if strings.HasPrefix(row[0].Data, watch.TapArm+":") {
					f.event(event.Event{ID: "tap", Kind: event.Tapped, Post: f.out, Data: row[0].Data})
					return
				}
			}
			f.event(event.Event{ID: "tap", Kind: event.Tapped, Post: f.out, Data: watch.TapArm + ":" + string(f.unarmed())})
		}},
		{"skeds", limits.TooManySkeds, func(f *field) {
			for i := range watch.MostSkeds + 1 {
				f.say(fmt.Sprintf("/sked hx7ab%c jo33 OCHRE-1", 'a'+i))
				last := f.said[len(f.said)-1]
				if len(last.Buttons) > 0 && strings.HasPrefix(last.Buttons[0][0].Data, watch.TapSked+":") {
					f.event(event.Event{ID: fmt.Sprint("tap", i), Kind: event.Tapped, Post: f.out, Data: last.Buttons[0][0].Data})
				}
			}
		}},
		{"records a day", "That is enough for one day", func(f *field) {
			change(f, func(op *storage.Operator) {
				op.Flow = storage.Flow{Day: f.now.Truncate(tx.Day), Imported: exchange.MostImported}
			})
			f.event(event.Event{ID: "log", Kind: event.Handed, Message: 77, File: &event.Document{Name: "x.adi", Body: []byte("<CALL:6>OX9QZT<QSO_DATE:8>20250101<TIME_ON:4>1200<BAND:2>2m<MODE:2>FM<EOR>\n")}})
			f.until(f.now.Add(time.Minute))
			if f.holds("1 new to me") != 0 {
				t.Error("read on the same day")
			}
			before := f.said
			f.until(f.now.Truncate(tx.Day).Add(tx.Day + time.Minute))
			if f.holds("1 new to me") != 1 {
				t.Errorf("not read on the next day:\n%s", f.texts(len(before)))
			}
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := newField(t, "2026-09-01T06:00:00Z")
			tt.reach(f)
			if n := f.holds(tt.says); n != 1 {
				t.Errorf("%q said %d times:\n%s", tt.says, n, f.texts(max(0, len(f.said)-5)))
			}
			for _, o := range f.said {
				if o.Op != storage.File && !strings.HasPrefix(o.Text, "Reading") {
					checkFits(t, o.Text)
				}
			}
		})
	}
}

// holds counts the posts that hold a text.
func (f *field) holds(text string) (n int) {
	for _, o := range f.said {
		if strings.Contains(strings.Join(strings.Fields(o.Text), " "), strings.Join(strings.Fields(text), " ")) {
			n++
		}
	}
	return n
}

// unarmed is a pass ahead that nobody has armed by hand.
func (f *field) unarmed() (id storage.PassID) {
	f.must(f.store.View(func(v *storage.View) error {
		all, err := v.Passes("7", f.now.Add(time.Hour), f.now.Add(2*tx.Day))
		for _, pass := range all {
			if pass.Arm != storage.ArmHand && !pass.Void {
				id = pass.ID
			}
		}
		return err
	}))
	return id
}

func TestKeepEdits(t *testing.T) {
	var edits []storage.Revision
	for i := range 3 * mostEdits {
		edits = keepEdits(append(edits, storage.Revision{Text: fmt.Sprint(i)}))
	}
	if len(edits) != mostEdits || edits[0].Text != "0" || edits[1].Text != fmt.Sprint(2*mostEdits+1) || edits[mostEdits-1].Text != fmt.Sprint(3*mostEdits-1) {
		t.Errorf("%d kept: %v", len(edits), edits)
	}
}

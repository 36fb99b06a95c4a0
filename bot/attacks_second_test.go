package bot

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/say/joint"
	"skyslate/bot/say/limits"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// Each is an attempt on a log, or a mishap, with its outcome.
func TestSecondPhoneAttacks(t *testing.T) {
	for name, attack := range map[string]func(*testing.T, *several){
		"a code used twice": func(t *testing.T, f *several) {
			code := f.code(inga)
			f.says(mate, code)
			f.wantSaid(f.says(berta, code), berta, joint.CodeOver)
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
			f.wantSaid(f.says(inga, "/second off"), inga, joint.OfferOff)
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
			f.wantSaid(f.says(mate, code), mate, joint.CodeOver)
		},
		"a code forwarded": func(t *testing.T, f *several) {
			f.setUp(berta, "HX7ZZQ")
			code := f.code(inga)
			for _, op := range []storage.OperatorID{mate, berta, inga} {
				said := f.by(op, event.Event{Kind: event.Said, Message: 40, Text: code, Forwarded: true})
				f.wantSaid(saidTo(said), op, joint.NoCode)
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
			f.wantSaid(f.says(berta, first), berta, joint.NoCode)
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
			f.wantSaid(saidTo(said), mate, joint.Elsewhere)
			f.wantSaid(f.says(mate, "/second off"), mate, "You ended it")
			f.wantSaid(f.says(mate, "/second off"), mate, "your time there is over")
		},
		"an old end tapped": func(t *testing.T, f *several) {
			f.joined(inga, mate)
			f.says(inga, "/second off")
			f.wantSaid(saidTo(f.by(mate, event.Event{Kind: event.Tapped, Data: "unsecond"})), mate, "your time there is over")
			f.wantSaid(saidTo(f.by(inga, event.Event{Kind: event.Tapped, Data: "unsecond"})), inga, joint.NoSecond)
		},
		"one's own code": func(t *testing.T, f *several) {
			code := f.code(inga)
			f.wantSaid(f.says(inga, code), inga, joint.OwnCode)
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
			f.wantSaid(f.says(inga, code), inga, joint.InTurn)
			f.says(inga, "di4zab jo43")
			f.says(mate, "ox7ec jo33")
			f.wantLog(inga, "DI4ZAB JO43 certain", "OX7EC JO33 certain")
			f.wantLog(mate)
		},
		"a chain": func(t *testing.T, f *several) {
			f.setUp(mate, "HX7ZZQ")
			code := f.code(mate)
			f.joined(inga, mate)
			f.wantSaid(f.says(berta, code), berta, joint.InTurn)
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
			f.wantSaid(saidTo(f.said[from:]), mate, joint.RemainsInLogs)
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
			f.wantSaid(saidTo(f.said), mate, limits.TooManyNow)
			f.says(inga, "di4zab jo43") // whose limits are their own
			f.wantLog(inga, "DI4ZAB JO43 certain")
		},
	} {
		t.Run(name, func(t *testing.T) { attack(t, newSeveral(t)) })
	}
}

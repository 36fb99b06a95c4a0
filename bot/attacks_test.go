package bot

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"skyslate/bot/event"
	"skyslate/parse/adif"
	"skyslate/storage"
)

// What somebody who means harm, or a phone gone wrong, may send. Each is an
// attack on what is made of it: a message, a field, a file name, a log line.
var hostile = []struct{ name, text string }{
	{"nothing", ""},
	{"blank", " \t\u00a0\u2003\r\n\n"},
	{"zero byte", "hx7abc\x00 jo33"},
	{"control characters", "hx7abc jo33 \x01\x07\x08\x1b[2J\x1b]0;owned\x07\x7f\u0085"},
	{"carriage returns", "hx7abc jo33\rlevel=ERROR msg=\"all is lost\"\r\n"},
	{"a log line", "x\nlevel=ERROR msg=\"token 42:abc\" operator=8"},
	{"right to left", "hx7abc \u202ejo33\u202c \u2066\u2067\u2068\u2069\u200f\u061c"},
	{"invisible", "h\u200bx\u200c7\u200da\u2060b\ufeffc j\u00ado33"},
	{"not UTF-8", "hx7abc jo33 \xff\xfe\xc0\xaf"},
	{"half a pair", "hx7abc jo33 \xed\xa0\x80"},
	{"beyond Unicode", "hx7abc jo33 \xf4\x90\x80\x80"},
	{"marks upon marks", "hx7abc jo33 a" + strings.Repeat("\u0301\u0489", 1000)},
	{"one long word", strings.Repeat("A", 4096)},
	{"one long number", strings.Repeat("9", 4096)},
	{"many calls in a line", strings.Repeat("hx7abc ", 585)},
	{"many lines", strings.Repeat("hx7abc jo33\n", 341)},
	{"many grids", strings.Repeat("jo33 ", 819)},
	{"marks upon marks to the end", "hx7abc jo33 " + strings.Repeat("\u0301", 4000)},
	{"line separators", "hx7abc jo33 a\u2028level=ERROR\u2029b\u0085c\vd\fe"},
	{"tags and variations", "hx7abc jo33 \U000e0041\U000e007f\ufe0f\U000e0100\u3164\uffa0\u115f"},
	{"bidi in a name", "hx7abc jo33 anna\u202egnp.exe"},
	{"a command in a name", "hx7abc jo33 /forget"},
	{"calendar lines", "hx7abc jo33\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:owned;x=1,2\\n"},
	{"a bird with markup", "/birds add </b><i>X 990001 145.9/435.1"},
	{"a bird with a path", "/birds add ../../x 990001 145.9/435.1"},
	{"a bird with controls", "/birds add A\u202eB\x00C 990001 145.9/435.1"},
	{"a bird with marks", "/birds add M" + strings.Repeat("\u0301", 3000) + " 990001 145.9/435.1"},
	{"a bird named as a command", "/birds add /forget 990001 145.9/435.1"},
	{"a bird with commas and quotes", "/birds add \"x,\"\"y\" 990001 145.9/435.1"},
	{"a bird's note", "/birds OCHRE-1 note </b>\r\nLEVEL\u202e \x1b[31m " + strings.Repeat("n", 3000)},
	{"a bird's name in the log", "/birds OCHRE-1 log <EOR><CALL:6>OX9QZT<EOR>"},
	{"a bird's name in the log that is a path", "/birds OCHRE-1 log ../../../etc/x"},
	{"a frequency from afar", "/birds OCHRE-1 pair 1e308/NaN"},
	{"a sked's note", "/sked hx7abd jo33 OCHRE-1 \u202e</b>\r\nBEGIN:VALARM\\n" + strings.Repeat("\u0301", 2000)},
	{"an outing to nowhere", "/outing ../.. 99999999999 Feb 9-9999"},
	{"ADIF fields", "hx7abc jo33 <EOR><CALL:6>OX9QZT<EOR> <EOH> <NOTES:99999>x"},
	{"ADIF header", "<ADIF_VER:5>3.1.4<EOH><CALL:6>OX9QZT<EOR>"},
	{"HTML", "hx7abc jo33 <b>&lt;<script>alert(1)</script><a href=\"tg://user?id=1\">x</a>"},
	{"markup", "hx7abc jo33 *b* _i_ `c` [x](tg://user?id=1) ||s|| \\ {} @all #x /forget"},
	{"format verbs", "hx7abc jo33 %s%n%!d(string=x)%99999999d {{.}} ${HOME} $(id) `id`; rm -rf /"},
	{"a query", "hx7abc' OR 1=1; DROP TABLE contacts; --"},
	{"a path", "hx7abc/../../../etc/passwd jo33"},
	{"a path as own call", "/call ../../etc/passwd"},
	{"a slash call", "/call HX7KZQ/../P"},
	{"a bird that is a path", "/birds ../../x"},
	{"a command with controls", "/\x1b[31mlog\u202e x"},
	{"a long command", "/" + strings.Repeat("x", 4000)},
	{"a long argument", "/at " + strings.Repeat("jo33,", 800)},
	{"a date from afar", "/adif 9999-12-31"},
	{"a date before all", "/adif 0000-00-00"},
	{"settings", "/remind lead 999999999999999999999"},
	{"settings below", "/remind peak -1e308"},
	{"no number", "/remind peak NaN"},
}

// checkOutgoing is what must hold of everything that goes out.
func checkOutgoing(t *testing.T, o Outgoing) {
	t.Helper()
	if !utf8.ValidString(o.Text) {
		t.Errorf("%s is no UTF-8: %q", o.Name, o.Text)
	}
	if n := utf8.RuneCountInString(o.Text); n > 4096 {
		t.Errorf("%s is %d characters long", o.Name, n)
	}
	var labels strings.Builder
	for _, row := range o.Buttons {
		for _, b := range row {
			labels.WriteString(b.Label)
			if len(b.Data) > 64 {
				t.Errorf("%s: %d bytes of button data", o.Name, len(b.Data))
			}
		}
	}
	for _, r := range o.Text + labels.String() + o.FileName {
		if r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			t.Errorf("%s holds %U: %q", o.Name, r, o.Text+labels.String())
			break
		}
	}
	if o.Op == storage.File && (o.FileName != filepath.Base(o.FileName) || strings.HasPrefix(o.FileName, ".")) {
		t.Errorf("the file name %q", o.FileName)
	}
}

// checkADIF reads a file as anybody would: whole records, each with a call, none
// that a text has smuggled in.
func checkADIF(t *testing.T, body []byte) {
	t.Helper()
	r := adif.NewReader(bytes.NewReader(body))
	for {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Errorf("the file can't be read: %v\n%s", err, body)
			return
		}
		if call, _ := rec.Get("CALL"); call == "OX9QZT" {
			t.Errorf("a contact was smuggled in:\n%s", body)
		}
	}
}

// invented is an element set of an invented orbit, under any name.
func invented(t *testing.T, name string, catalog int) []byte {
	t.Helper()
	body, err := json.Marshal([]map[string]any{{
		"OBJECT_NAME": name, "OBJECT_ID": "2026-901A", "EPOCH": "2026-09-01T00:00:00.000000", "MEAN_MOTION": 14.9,
		"ECCENTRICITY": 0.001, "INCLINATION": 67.0, "RA_OF_ASC_NODE": 10.0, "ARG_OF_PERICENTER": 80.0, "MEAN_ANOMALY": 10.0,
		"EPHEMERIS_TYPE": 0, "CLASSIFICATION_TYPE": "U", "NORAD_CAT_ID": catalog, "ELEMENT_SET_NO": 1, "REV_AT_EPOCH": 1,
		"BSTAR": 1e-5, "MEAN_MOTION_DOT": 0.0, "MEAN_MOTION_DDOT": 0.0,
	}})
	if err != nil {
		t.Fatal(err)
	}
	return body
}

// checkCalendar reads a calendar's lines as anybody would: as many ends as
// beginnings, nothing that a text has begun, no line that is too long.
func checkCalendar(t *testing.T, body []byte) {
	t.Helper()
	depth := 0
	for line := range strings.SplitSeq(strings.TrimSuffix(string(body), "\r\n"), "\r\n") {
		switch {
		case strings.HasPrefix(line, "BEGIN:"):
			depth++
		case strings.HasPrefix(line, "END:"):
			depth--
		case strings.HasPrefix(line, "SUMMARY:owned"):
			t.Errorf("an entry was smuggled in:\n%s", body)
		}
		if len(line) > 75 || depth < 0 { // RFC 5545, section 3.1
			t.Errorf("a line of %d bytes at depth %d: %q", len(line), depth, line)
		}
		if strings.ContainsFunc(line, func(r rune) bool { return r != '\t' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) }) {
			t.Errorf("controls in the line %q", line)
		}
	}
	if depth != 0 {
		t.Errorf("%d parts are not ended", depth)
	}
}

// Everything typed is data, wherever it comes in: as a message, an edit, a reply,
// a caption, a file and its name, a tap.
func TestAttackEverythingTypedIsData(t *testing.T) {
	for _, tt := range hostile {
		t.Run(tt.name, func(t *testing.T) {
			f := newField(t, "2026-09-01T13:14:00Z") // OCHRE-1 is up
			var log bytes.Buffer
			f.desk.log = slog.New(slog.NewTextHandler(&log, nil))
			first := f.say("di4zab jo43")
			events := []event.Event{
				{Kind: event.Said, Message: 10, Text: tt.text},
				{Kind: event.Said, Message: 11, Text: "hx7abc jo33 " + tt.text},
				{Kind: event.Said, Message: 12, Text: tt.text, ReplyTo: first},
				{Kind: event.Edited, Message: 11, Text: tt.text},
				{Kind: event.Spoken, Message: 13, Text: tt.text, Length: time.Minute},
				{Kind: event.Handed, Message: 14, Text: tt.text, File: &event.Document{Name: tt.text, Body: []byte(tt.text)}},
				{Kind: event.Handed, Message: 15, File: &event.Document{Name: "../../" + tt.text + ".adi", Body: []byte(tt.text)}},
				{Kind: event.Tapped, Post: 1, Data: tt.text},
				{Kind: event.Tapped, Post: 1, Data: "pick:" + tt.text},
				{Kind: event.Other, Message: 16, Text: tt.text},
				{Kind: event.Said, Message: 17, Text: "/adif all"},
				{Kind: event.Said, Message: 18, Text: "/log"},
				{Kind: event.Handed, Message: 28, File: &event.Document{Name: "own.json", Body: invented(t, tt.text, 990001)}},
				{Kind: event.Said, Message: 29, Text: "/remind daily 20"},
				{Kind: event.Said, Message: 20, Text: "/birds"},
				{Kind: event.Said, Message: 21, Text: "/passes"},
				{Kind: event.Said, Message: 22, Text: "/calendar"},
				{Kind: event.Said, Message: 23, Text: "/day"},
				{Kind: event.Said, Message: 24, Text: "/voice"},
				{Kind: event.Said, Message: 25, Text: "/sked"},
				{Kind: event.Said, Message: 26, Text: "/worked"},
				{Kind: event.Said, Message: 27, Text: "/memories"},
				{Kind: event.Said, Message: 19, Text: "ox7dk jo34"},
			}
			for i, e := range events {
				e.ID = fmt.Sprintf("attack/%d", i)
				f.event(e)
			}
			for _, o := range f.said {
				checkOutgoing(t, o)
				if o.Op == storage.File && strings.HasSuffix(o.FileName, ".adi") {
					checkADIF(t, o.Body)
				}
				if o.Op == storage.File && strings.HasSuffix(o.FileName, ".ics") {
					checkCalendar(t, o.Body)
				}
			}
			if strings.Contains(log.String(), "set aside") {
				t.Errorf("an event was set aside:\n%s", log.String())
			}
			for line := range strings.Lines(log.String()) {
				if !strings.HasPrefix(line, "time=") {
					t.Errorf("a log line of its own: %q", line)
				}
			}
			ok := false
			for _, c := range f.contacts() {
				ok = ok || c.Call.String() == "OX7DK" && c.State == storage.Certain
			}
			if !ok {
				t.Error("the line after the attack was not logged")
			}
		})
	}
}

// Whatever is said is handled: it is never set aside, what goes out is fit to be
// shown, and the file can be read.
func FuzzSaid(f *testing.F) {
	for _, tt := range hostile {
		f.Add(tt.text, "ox7dk jo34")
	}
	f.Fuzz(func(t *testing.T, first, second string) {
		if len(first) > 4096 || len(second) > 4096 {
			return // longer than a messaging app lets through
		}
		d := newField(t, "2026-09-01T13:14:00Z")
		var log bytes.Buffer
		d.desk.log = slog.New(slog.NewTextHandler(&log, nil))
		for i, e := range []event.Event{
			{Kind: event.Said, Message: 1, Text: first},
			{Kind: event.Said, Message: 2, Text: second, ReplyTo: 1},
			{Kind: event.Edited, Message: 1, Text: second},
			{Kind: event.Said, Message: 3, Text: "/adif all"},
		} {
			e.ID = fmt.Sprintf("fuzz/%d", i)
			d.event(e)
		}
		if strings.Contains(log.String(), "set aside") {
			t.Error(log.String())
		}
		for _, o := range d.said {
			checkOutgoing(t, o)
			if o.Op == storage.File && strings.HasSuffix(o.FileName, ".adi") {
				for r := adif.NewReader(bytes.NewReader(o.Body)); ; {
					if _, err := r.Read(); err != nil {
						if !errors.Is(err, io.EOF) {
							t.Errorf("%v\n%s", err, o.Body)
						}
						break
					}
				}
			}
		}
	})
}

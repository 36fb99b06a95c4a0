package contact

import (
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

// The slate is what the reminder proposes to speak; times are of the invented
// pass of OCHRE-1 in passes.csv.
func TestSlateIn(t *testing.T) {
	pass := storage.Pass{
		ID: "x", AOS: utc("2026-09-01T13:12:55Z"), TCA: utc("2026-09-01T13:18:21Z"), LOS: utc("2026-09-01T13:23:47Z"),
	}
	at := utc("2026-09-02T08:00:00Z")
	for _, c := range []struct {
		line, want string
		pass       storage.Pass
	}{
		{"slate 13:12:05", "2026-09-01T13:12:05Z", pass},
		{"Slate 1312", "2026-09-01T13:12:00Z", pass},
		{"slate: 13:12 utc", "2026-09-01T13:12:00Z", pass},
		{"slate 13:12:05", "2026-09-01T13:12:05Z", storage.Pass{}}, // the latest before the message
		{"slate 07:59", "2026-09-02T07:59:00Z", storage.Pass{}},
		{"slate 2026-08-30 13:12:05", "2026-08-30T13:12:05Z", pass},
		{"This is HX7KZQ in JO62 on OCHRE-1, 1 September 2026, UTC now 13:12:05", "2026-09-01T13:12:05Z", pass},
		{"this is HX7KZQ in JO62 on OCHRE-1, 30 aug 2026, utc now 13.12", "2026-08-30T13:12:00Z", storage.Pass{}},
		{"slate 23:59:60", "2026-09-01T23:59:59Z", storage.Pass{}}, // a leap second
		{"slate 2026-12-31 235960 utc", "2026-12-31T23:59:59Z", storage.Pass{}},
		{"slate", "", pass},
		{"slate roof in sight", "", pass},
		{"13:12:05", "", pass},
		{"slate 25:12", "", pass},
		{"slate 13:12:60", "", pass},
	} {
		got := ""
		if slate, ok := SlateNear(c.line, c.pass, at); ok {
			got = slate.Format("2006-01-02T15:04:05Z")
		}
		if got != c.want {
			t.Errorf("%q: got %q, want %q", c.line, got, c.want)
		}
	}
}

func utc(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t
}

func TestShortAnswers(t *testing.T) {
	var c contact
	if err := c.Call.UnmarshalText([]byte("DI4ZAB/P")); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{
		"cdf": "DI4CDF/P", "zxc": "DI4ZXC/P", " ZAC ": "DI4ZAB/P DI4ZAC/P?", "anna": "", "Bob": "", "dup": "", "sri": "", "tnx": "", "ok": "", "ab cd": "", "abcde": "", "jo33": "", "": "",
	} {
		said, _ := shortAnswer(&line{text: text, message: &message{said: &storage.Evidence{}}}, &c)
		got := said.Call.String()
		if len(said.Candidates) > 0 { // a slip, or a name: asked
			got += " " + said.Candidates[0].Call.String() + "?"
		}
		if got != want {
			t.Errorf("suffix %q: got %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]string{"+4:10": "4m10s", "+0:00": "0s", "4:10": "", "+95": "", "+1:75": ""} {
		got := ""
		if said, ok := answerIn(parse.Line{Text: text}); ok {
			got = said.Offset.Duration().String()
		}
		if got != want {
			t.Errorf("offset %q: got %q, want %q", text, got, want)
		}
	}
}

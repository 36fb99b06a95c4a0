package timing

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
		if slate, ok := SlateIn(c.line, c.pass, at); ok {
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

// A minute alone means the nearest hour, a time of day the nearest day; of what was
// typed last, the one behind, but for what watches differ.
func TestClocks(t *testing.T) {
	for _, c := range []struct {
		hour, minute          int
		at                    string
		wantNearest, wantLast string
	}{
		{-1, 58, "2026-09-01T14:05:00Z", "2026-09-01T13:58:00Z", "2026-09-01T13:58:00Z"},
		{-1, 10, "2026-09-01T13:55:00Z", "2026-09-01T14:10:00Z", "2026-09-01T13:10:00Z"},
		{-1, 57, "2026-09-01T13:55:00Z", "2026-09-01T13:57:00Z", "2026-09-01T13:57:00Z"}, // a watch that is fast
		{23, 50, "2026-09-02T00:10:00Z", "2026-09-01T23:50:00Z", "2026-09-01T23:50:00Z"},
		{0, 10, "2026-09-01T23:50:00Z", "2026-09-02T00:10:00Z", "2026-09-01T00:10:00Z"},
	} {
		clock, at := parse.MakeClock(c.hour, c.minute), utc(c.at)
		if got := Nearest(clock, at); !got.Equal(utc(c.wantNearest)) {
			t.Errorf("%s nearest to %s: %s, want %s", clock, c.at, got, c.wantNearest)
		}
		if got := Latest(clock, at); !got.Equal(utc(c.wantLast)) {
			t.Errorf("%s up to %s: %s, want %s", clock, c.at, got, c.wantLast)
		}
	}
}

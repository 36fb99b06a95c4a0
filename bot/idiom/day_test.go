package idiom

import (
	"strings"
	"testing"
	"time"
)

func TestDayIn(t *testing.T) {
	now := time.Date(2027, 5, 24, 0, 30, 0, 0, time.FixedZone("", 2*60*60)) // Sunday still in UTC
	for _, c := range []struct {
		text, date string
		n          int // 0: no day
	}{
		{"today", "2027-05-24", 1},
		{"Tomorrow 10:45", "2027-05-25", 1},
		{"mon", "2027-05-24", 1},
		{"sunday", "2027-05-30", 1},
		{"su", "", 0},
		{"29 May 10:45", "2027-05-29", 2},
		{"may 29.", "2027-05-29", 2},
		{"23 may", "2028-05-23", 2},
		{"31 feb", "", 0},
		{"29", "", 0},
		{"may", "", 0},
		{"2026-11-24 10:45", "2026-11-24", 1},
		{"2026-11-31", "", 0},
		{"10:45 tomorrow", "", 0},
		{"", "", 0},
	} {
		date, n := DayIn(strings.Fields(c.text), now)
		if n != c.n || n > 0 && date.Format(time.DateOnly) != c.date {
			t.Errorf("%q: %s in %d words, want %s in %d", c.text, date.Format(time.DateOnly), n, c.date, c.n)
		}
	}
}

// A month or a year that is named is the last one that has begun.
func TestMonthIn(t *testing.T) {
	now := time.Date(2027, 5, 23, 10, 0, 0, 0, time.UTC)
	for words, want := range map[string]string{
		"may": "2027-05 2027-06", "jun": "2026-06 2026-07", "december": "2026-12 2027-01", "may 2026": "2026-05 2026-06", "2026": "2026-01 2027-01",
		"": "", "29 may": "", "saturday": "", "ma": "", "may 26": "", "may june": "",
	} {
		from, to, ok := MonthIn(strings.Fields(words), now)
		if got := strings.TrimSpace(from.Format("2006-01 ") + to.Format("2006-01")); ok != (want != "") || ok && got != want {
			t.Errorf("%q: %s, %v, want %q", words, got, ok, want)
		}
	}
}

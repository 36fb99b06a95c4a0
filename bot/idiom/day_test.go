package idiom

import (
	"strings"
	"testing"
	"time"
)

func TestDayIn(t *testing.T) {
	now := time.Date(2027, 5, 24, 0, 30, 0, 0, time.FixedZone("", 2*60*60)) // Sunday still in UTC
	for _, c := range []struct {
		text, next, before string
		n                  int // 0: no day
	}{
		{"today", "2027-05-24", "", 1},
		{"Tomorrow 10:45", "2027-05-25", "", 1},
		{"mon", "2027-05-24", "2027-05-17", 1},
		{"sunday", "2027-05-30", "2027-05-23", 1},
		{"su", "", "", 0},
		{"29 May 10:45", "2027-05-29", "2026-05-29", 2},
		{"may 29.", "2027-05-29", "2026-05-29", 2},
		{"29.5. 10:45", "2027-05-29", "2026-05-29", 1},
		{"29.5.2027", "2027-05-29", "", 1},
		{"23 may", "2028-05-23", "2027-05-23", 2},
		{"31 feb", "", "", 0},
		{"29", "", "", 0},
		{"may", "", "", 0},
		{"2026-11-24 10:45", "2026-11-24", "", 1},
		{"2027-12-01", "2027-12-01", "", 1},
		{"2026-11-31", "", "", 0},
		{"10:45 tomorrow", "", "", 0},
		{"yesterday", "2027-05-23", "", 1},
		{"Gestern 10:45", "2027-05-23", "", 1},
		{"esta noche", "2027-05-24", "", 2},
		{"mañana por la tarde hay", "2027-05-25", "", 4},
		{"sat evening", "2027-05-29", "2027-05-22", 2},
		{"29 may in", "2027-05-29", "2026-05-29", 2},
		{"evening", "", "", 0},
		{"", "", "", 0},
	} {
		day, n := DayIn(strings.Fields(c.text), now)
		next, before := date(day.Next), date(day.Before)
		if n != c.n || next != c.next || before != c.before {
			t.Errorf("%q: %s, before it %s, in %d words, want %s, %s in %d", c.text, next, before, n, c.next, c.before, c.n)
		}
	}
	leap := time.Date(2028, 1, 10, 10, 0, 0, 0, time.UTC)
	if day, _ := DayIn([]string{"29", "feb"}, leap); date(day.Next) != "2028-02-29" || date(day.Before) != "2024-02-29" {
		t.Errorf("29 February: %v", day)
	}
}

// date is a day, empty if there is none.
func date(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// A weekday of any language of the table comes each week, and nothing else does.
func TestWeekdaysOfAllLanguages(t *testing.T) {
	const week = 7 * 24 * time.Hour
	for word, means := range dayNames {
		day, n := DayIn([]string{word}, time.Date(2027, 5, 23, 10, 0, 0, 0, time.UTC))
		if weekly, want := n > 0 && day.Next.Sub(day.Before) == week, strings.HasSuffix(means, "day") && means != "today" && means != Yesterday; weekly != want {
			t.Errorf("%q, which is %s: %v and before it %v", word, means, day.Next, day.Before)
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

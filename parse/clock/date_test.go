package clock

import (
	"testing"
	"time"
)

// day is the twentieth of May in a year.
func day(year int) Date {
	d, _ := MakeDate(year, 5, 20)
	return d
}

func TestDateText(t *testing.T) {
	for _, s := range []string{"", "2024-05-20", "--02-29"} {
		var d Date
		if err := d.UnmarshalText([]byte(s)); err != nil || d.String() != s || d.IsSet() != (s != "") {
			t.Errorf("%q: %v, %v", s, d, err)
		}
	}
	for _, s := range []string{"2024-02-30", "2024-5-20", "--13-01", "today", "20240520", "+024-05-20"} {
		var d Date
		if err := d.UnmarshalText([]byte(s)); err == nil {
			t.Errorf("%q is read as %v", s, d)
		}
	}
	if d := DateOf(time.Date(2024, 5, 20, 23, 59, 0, 0, time.UTC)); d != day(2024) || d.Fits(day(2025)) || !d.Fits(day(0)) {
		t.Errorf("%v", d)
	}
}

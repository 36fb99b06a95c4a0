package main

import (
	"strings"
	"testing"
	"time"
)

func TestMoment(t *testing.T) {
	var m moment
	for _, s := range []string{"2026-09-01T10:00:00Z", "2026-09-01T12:00:00+02:00", "2026-09-01T10:00:00.000Z"} {
		if err := m.Set(s); err != nil {
			t.Error(err)
		}
		if got := m.String(); got != "2026-09-01T10:00:00Z" || m.Location() != time.UTC {
			t.Errorf("%s is %s", s, got)
		}
	}
}

// A leap second counts as the second before it.
func TestMomentInALeapSecond(t *testing.T) {
	for _, s := range []string{"2026-12-31T23:59:60Z", "2027-01-01T08:59:60+09:00"} {
		var m moment
		if err := m.Set(s); err != nil || m.String() != "2026-12-31T23:59:59Z" {
			t.Errorf("%s is %s, %v", s, &m, err)
		}
	}
}

func TestMomentRefuses(t *testing.T) {
	tests := []struct{ in, want string }{
		{"", "column 1: found the end"},
		{"tomorrow", `column 1: found "tomorrow"`},
		{"2026-09-01", "column 11: found the end"},
		{"2026-09-01 10:00:00Z", `column 11: found " 10:00:00Z"`},
		{"2026-13-01T10:00:00Z", `column 6: found "13-01T`},
		{"2026-09-31T10:00:00Z", `column 9: found "31T`},
		{"2026-09-01T24:00:00Z", `column 12: found "24:`},
		{"2026-09-01T10:60:00Z", `column 15: found "60:`},
		{"2026-09-01T10:00:60Z", `column 18: found "60Z"`},
		{"2026-09-01T10:00:00", "column 20: found the end"},
		{"2026-09-01T10:00:00+2", `column 20: found "+2"`},
		{"26-09-01T10:00:00Z", `column 3: found "-09`},
	}
	for _, tt := range tests {
		var m moment
		err := m.Set(tt.in)
		if err == nil || !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), "expected a time as") {
			t.Errorf("%q: %v, want %s", tt.in, err, tt.want)
		}
	}
}

func FuzzMoment(f *testing.F) {
	f.Add("2026-09-01T10:00:00Z")
	f.Add("2026-02-30T10:00:00.5+01:00")
	f.Add("2026-0")
	f.Fuzz(func(t *testing.T, s string) {
		var m moment
		if m.Set(s) == nil {
			if again := (moment{}); again.Set(m.String()) != nil || !again.Equal(m.Time) {
				t.Errorf("%q is %s, which is %s", s, &m, &again)
			}
			return
		}
		if at := mismatch(s); at < 0 || at > len(s) {
			t.Errorf("%q: mismatch at %d", s, at)
		}
	})
}

func TestPlace(t *testing.T) {
	tests := []struct {
		in            string
		lat, lon, hgt float64
	}{
		// Centres: the middle of the last given cell.
		{"jo62", 52.5, 13, 0},
		{"JO62QM", 52 + 31.25/60, 13 + 22.5/60, 0},
		{"52.5,13.4", 52.5, 13.4, 0},
		{"-33.9, 18.4, 1080", -33.9, 18.4, 1080},
		{"90,180,-400", 90, 180, -400},
	}
	for _, tt := range tests {
		var p place
		if err := p.Set(tt.in); err != nil {
			t.Error(err)
			continue
		}
		d := max(abs(p.site.LatDeg-tt.lat), abs(p.site.LonDeg-tt.lon), abs(p.site.HeightM-tt.hgt))
		if d > 1e-9 {
			t.Errorf("%s is %v", tt.in, p.site)
		}
	}
}

func abs(v float64) float64 { return max(v, -v) }

func TestPlaceRefuses(t *testing.T) {
	tests := []struct{ in, want string }{
		{"", "column 1: found the end"},
		{"JO6", "column 4: found the end"},
		{"ZO62", "column 1: found 'Z'"},
		{"JO62,", `column 1: found "JO62", expected a latitude`},
		{"91,0", `column 1: found "91", expected a latitude`},
		{"NaN,0", `column 1: found "NaN", expected a latitude`},
		{"52.5,", "column 6: found the end, expected a longitude"},
		{"52.5,181", `column 6: found "181", expected a longitude`},
		{"52.5,13.4,9999", `column 11: found "9999", expected a height`},
		{"52.5,13.4,0,0", `column 12: found ",0", expected LAT,LON[,METRES]`},
	}
	for _, tt := range tests {
		var p place
		if err := p.Set(tt.in); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%q: %v, want %s", tt.in, err, tt.want)
		}
	}
}

func TestRounded(t *testing.T) {
	if got := rounded(-0.0001, 3); got != 0 || 1/got < 0 {
		t.Errorf("rounded to %v", got)
	}
	if got := roundedAzimuth(359.99951); got != 0 {
		t.Errorf("azimuth %v, want north", got)
	}
}

// The text fits a screen of 38 columns.
func TestPassesTextWidth(t *testing.T) {
	for _, more := range [][]string{{"-mhz", "145.8,10489.5125"}, {"-with", "JN58"}} {
		var out, errOut strings.Builder
		args := append([]string{
			"passes", "-elements", reference + "sats.tle", "-at", "JO62qm", "-from", "2026-09-01T00:00:00Z", "-hours", "48",
		}, more...)
		if code := run(args, stdio{strings.NewReader(""), &out, &errOut}); code != 0 {
			t.Fatal(errOut.String())
		}
		for line := range strings.Lines(out.String()) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 38 || strings.HasSuffix(line, " \n") {
				t.Errorf("%d columns: %q", n, line)
			}
		}
	}
}

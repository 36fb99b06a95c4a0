package zone

import (
	"math"
	"sync"
	"testing"
	"time"

	"github.com/ringsaturn/tzf"
)

// Places and zones: zone1970.tab of the IANA time zone database, release 2025b,
// whose rows give each zone's principal location; the coordinates are its own,
// from degrees and minutes. At sea: the nautical zones of its file "etcetera".
func TestAt(t *testing.T) {
	tests := []struct {
		name     string
		lat, lon float64
		want     string
	}{
		{"Berlin", 52 + 30./60, 13 + 22./60, "Europe/Berlin"},
		{"Lisbon", 38 + 43./60, -(9 + 8./60), "Europe/Lisbon"},
		{"Tokyo", 35 + 39./60 + 16./3600, 139 + 44./60 + 41./3600, "Asia/Tokyo"},
		{"Kathmandu", 27 + 43./60, 85 + 19./60, "Asia/Kathmandu"},
		{"St. John's", 47 + 34./60, -(52 + 43./60), "America/St_Johns"},
		{"Phoenix", 33 + 26./60 + 54./3600, -(112 + 4./60 + 24./3600), "America/Phoenix"},
		{"Chatham Islands", -(43 + 57./60), -(176 + 33./60), "Pacific/Chatham"},
		{"Auckland", -(36 + 52./60), 174 + 46./60, "Pacific/Auckland"},
		{"Johannesburg", -(26 + 15./60), 28, "Africa/Johannesburg"},
		{"Buenos Aires", -(34 + 36./60), -(58 + 27./60), "America/Argentina/Buenos_Aires"},
		{"Adelaide", -(34 + 55./60), 138 + 35./60, "Australia/Adelaide"},
		{"Auckland, once more round", -(36 + 52./60), 174 + 46./60 - 360, "Pacific/Auckland"},
		{"Konstanz, on a border", 47.66, 9.175, "Europe/Berlin"},                                   // from a map; 400 m from Switzerland
		{"a sliver between two zones", 59.49166722870699, -120.00118250290389, "America/Edmonton"}, // found by trying
		{"Atlantic", 40, -40, "Etc/GMT+3"},
		{"Pacific", -30, -130, "Etc/GMT+9"},
		{"Indian Ocean", -30, 80, "Etc/GMT-5"},
		{"no latitude", 91, 0, "UTC"},
		{"not a number", math.NaN(), 0, "UTC"},
		{"endless", 0, math.Inf(1), "UTC"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			name, loc := At(tt.lat, tt.lon)
			if name != tt.want || loc.String() != tt.want {
				t.Errorf("%q, %v, want %q", name, loc, tt.want)
			}
		})
	}
}

// Every place has a zone that can be loaded, the poles and the date line too.
func TestAtEverywhere(t *testing.T) {
	for lat := -90.0; lat <= 90; lat += 5 {
		for lon := -180.0; lon <= 180; lon += 5 {
			name, loc := At(lat, lon)
			if name == "UTC" || loc == nil || loc.String() != name {
				t.Errorf("At(%g, %g) = %q, %v", lat, lon, name, loc)
			}
		}
	}
}

func TestAtFollowsTheRules(t *testing.T) {
	_, loc := At(52.5, 13.4)
	for _, tt := range []struct{ utc, want string }{
		{"2026-01-15T12:00:00Z", "13:00 CET"},
		{"2026-07-15T12:00:00Z", "14:00 CEST"},
	} {
		at, err := time.Parse(time.RFC3339, tt.utc)
		if err != nil {
			t.Fatal(err)
		}
		if got := at.In(loc).Format("15:04 MST"); got != tt.want {
			t.Errorf("%s is %s, want %s", tt.utc, got, tt.want)
		}
	}
}

func TestAtConcurrently(t *testing.T) {
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			lon := float64(i)*45 - 170
			if name, loc := At(10, lon); loc.String() != name {
				t.Errorf("At(10, %g) = %q, %v", lon, name, loc)
			}
		})
	}
	wg.Wait()
}

// Without boundaries there still is a zone.
func TestLoadFails(t *testing.T) {
	for _, from := range []func() (tzf.F, error){
		func() (tzf.F, error) { return nil, tzf.ErrNoTimezoneFound },
		func() (tzf.F, error) { panic("not what was expected") },
	} {
		if f := load(from); f != nil {
			t.Errorf("got %v", f)
		}
	}
}

func TestNautical(t *testing.T) {
	tests := []struct {
		lon  float64
		want string
	}{
		{0, "Etc/GMT"},
		{7.4, "Etc/GMT"},
		{7.6, "Etc/GMT-1"},
		{-7.6, "Etc/GMT+1"},
		{-180, "Etc/GMT+12"},
		{179.9, "Etc/GMT-12"},
	}
	for _, tt := range tests {
		if got := nautical(tt.lon); got != tt.want {
			t.Errorf("nautical(%g) = %q, want %q", tt.lon, got, tt.want)
		}
		if _, err := time.LoadLocation(tt.want); err != nil {
			t.Error(err)
		}
	}
}

// The middle of the sea between two places on land (IANA time zone database).
func TestOnLand(t *testing.T) {
	sea, berlin, faroe := [2]float64{62.5, -5}, [2]float64{52.5, 13.4}, [2]float64{62, -6.8}
	for _, c := range []struct {
		places [][2]float64
		want   string
	}{
		{[][2]float64{sea, faroe, berlin}, "Atlantic/Faroe"},
		{[][2]float64{berlin, faroe}, "Europe/Berlin"},
		{[][2]float64{sea, {63.9, -20}}, "Atlantic/Reykjavik"},
		{[][2]float64{sea, sea}, "Etc/GMT"},
		{nil, "UTC"},
	} {
		if name, loc := OnLand(c.places...); name != c.want || loc == nil {
			t.Errorf("%v: %s, want %s", c.places, name, c.want)
		}
	}
}

func BenchmarkAt(b *testing.B) {
	At(52.5, 13.4)
	for b.Loop() {
		At(52.5, 13.4)
	}
}

package draw

import (
	"fmt"
	"os"
	"testing"
	"time"

	"skyslate/predict"
)

// tableOf is a day of an invented bird.
func tableOf(t testing.TB, bird string, from time.Time) *predict.Ephemeris {
	t.Helper()
	f, err := os.Open("../rehearsal/elements.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sets, _, err := predict.ReadElements(f, "elements.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range sets {
		if e.Name == bird {
			table, err := predict.NewEphemeris(e, from, from.Add(24*time.Hour))
			if err != nil {
				t.Fatal(err)
			}
			return table
		}
	}
	t.Fatalf("no elements of %s", bird)
	return nil
}

// passOver is the next pass of an invented bird, from its elements to what is
// drawn.
func passOver(t testing.TB, bird string, site predict.Site, from time.Time, mhz float64) Sky {
	table := tableOf(t, bird, from)
	return skyOf(table, site, table.Passes(site, from, from.Add(24*time.Hour), 5)[0], mhz)
}

func skyOf(table *predict.Ephemeris, site predict.Site, pass predict.Pass, mhz float64) Sky {
	spot := func(at time.Time) Spot {
		l := table.Look(site, at)
		return Spot{at, l.AzDeg, l.ElDeg}
	}
	s := Sky{Bird: pass.Name, Side: "receive", Peak: spot(pass.TCA)}
	for at := pass.AOS; at.Before(pass.LOS); at = at.Add(5 * time.Second) {
		s.Track = append(s.Track, spot(at))
	}
	s.Track = append(s.Track, spot(pass.LOS))
	for _, step := range table.Steps(site, pass, mhz, 5, predict.Receive) {
		s.Turns = append(s.Turns, Turn{spot(step.At), fmt.Sprintf("%.3f", step.DialMHz)})
	}
	az, el := site.Sun(pass.TCA)
	s.Sun = Spot{pass.TCA, az, el}
	return s
}

func invented(t testing.TB) Sky {
	s := passOver(t, "WICKET-1", predict.Site{LatDeg: 52.5, LonDeg: -7}, time.Date(2027, 5, 23, 10, 30, 0, 0, time.UTC), 436.235)
	s.Horizon = predict.Horizon{{FromDeg: 250, ToDeg: 320, MinElDeg: 18}, {FromDeg: 20, ToDeg: 80, MinElDeg: 8}}
	return s
}

func TestLook(t *testing.T) {
	for i, s := range cases(t) {
		png, err := s.PNG()
		if err != nil {
			t.Fatal(err)
		}
		t.Log(len(png))
		os.WriteFile(fmt.Sprintf("/tmp/skyslate/drawtry/sky%d.png", i), png, 0o644)
	}
}

func cases(t testing.TB) []Sky {
	day := time.Date(2027, 5, 23, 10, 30, 0, 0, time.UTC)
	low := passOver(t, "WICKET-1", predict.Site{LatDeg: 62.5, LonDeg: 10}, day, 145.9)
	low.Turns, low.Side = nil, ""
	over := passOver(t, "WICKET-1", predict.Site{LatDeg: 54.6, LonDeg: -8.8}, day, 1296)
	over.Horizon = predict.Horizon{{FromDeg: 0, ToDeg: 360, MinElDeg: 15}}
	night := passOver(t, "HAYLOFT-2", predict.Site{LatDeg: -33, LonDeg: 151}, day, 435.31)
	return []Sky{invented(t), low, over, night}
}

func BenchmarkSky(b *testing.B) {
	for i, s := range cases(b) {
		b.Run(fmt.Sprint(i), func(b *testing.B) {
			var png []byte
			for b.Loop() {
				var err error
				if png, err = s.PNG(); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(len(png)), "bytes/picture")
		})
	}
}

package predict

import (
	"testing"
	"time"
)

// The work on which general-purpose libraries were measured beside ours: ten
// invented satellites, one site, ten days, every pass with its AOS, TCA and
// LOS, from element lines that are already read.
func BenchmarkTenBirdsTenDays(b *testing.B) {
	sets := readSets(b, "../testdata/authorities/ephem/bench10.tle")
	to := tableFrom.AddDate(0, 0, 10)
	passes := 0
	for b.Loop() {
		passes = 0
		for _, e := range sets {
			p, err := NewEphemeris(e, tableFrom, to)
			if err != nil {
				b.Fatal(err)
			}
			passes += len(p.Passes(berlin, tableFrom, to, 0))
		}
	}
	b.ReportMetric(float64(passes), "passes")
}

// The part of that work that can't be avoided: the propagations.
func BenchmarkTenBirdsTenDaysPropagations(b *testing.B) {
	sets := readSets(b, "../testdata/authorities/ephem/bench10.tle")
	var models []*model
	var counts, steps []int
	for _, e := range sets {
		p := ephemeris(b, e, tableFrom, tableFrom.AddDate(0, 0, 10))
		models, counts, steps = append(models, p.model), append(counts, len(p.nodes)), append(steps, int(p.step))
	}
	n := 0
	for b.Loop() {
		n = 0
		for i, m := range models {
			for k := range counts[i] {
				if _, _, err := m.at(k * steps[i]); err != nil {
					b.Fatal(err)
				}
			}
			n += counts[i]
		}
	}
	b.ReportMetric(float64(n), "states")
}

// One site more for a bird whose table is there: a day.
func BenchmarkDayOfOneMoreSite(b *testing.B) {
	p := ephemeris(b, readSets(b, "../testdata/authorities/ephem/bench10.tle")[0], tableFrom, tableFrom.AddDate(0, 0, 10))
	from, to := tableFrom.AddDate(0, 0, 3), tableFrom.AddDate(0, 0, 4)
	b.ReportAllocs()
	for b.Loop() {
		p.Passes(berlin, from, to, 0)
	}
}

// A thousand sites on one table: a day.
func BenchmarkDayOfThousandSites(b *testing.B) {
	p := ephemeris(b, ochre, tableFrom, tableFrom.AddDate(0, 0, 1))
	for b.Loop() {
		for i := range 1000 {
			p.Passes(Site{LatDeg: float64(i%180) - 90, LonDeg: float64(i % 360)}, tableFrom, tableFrom.AddDate(0, 0, 1), 0)
		}
	}
}

func BenchmarkLook(b *testing.B) {
	p := ephemeris(b, ochre, tableFrom, tableTo)
	at := tableFrom
	b.ReportAllocs()
	for b.Loop() {
		at = at.Add(time.Second)
		if at.After(tableTo) {
			at = tableFrom
		}
		p.Look(berlin, at)
	}
}

func BenchmarkSteps(b *testing.B) {
	p := ephemeris(b, ochre, tableFrom, tableTo)
	pass := goodPass(b, p)
	for b.Loop() {
		p.Steps(berlin, pass, 436.8, 5, Receive)
	}
}

func BenchmarkPropagate(b *testing.B) {
	m, err := newModel(ochre)
	if err != nil {
		b.Fatal(err)
	}
	k := 0
	for b.Loop() {
		k = (k + wideStep) % 864000
		if _, _, err := m.at(k); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadElements(b *testing.B) {
	for b.Loop() {
		readSets(b, "../testdata/authorities/ephem/bench10.tle")
	}
}

package predict

import (
	"math"
	"testing"
	"time"
)

var berlin = Site{LatDeg: 52.520833333, LonDeg: 13.375}

// goodPass is one of at least 60°.
func goodPass(t testing.TB, p *Ephemeris) Pass {
	t.Helper()
	for _, pass := range p.Passes(berlin, tableFrom, tableTo, 0) {
		if pass.AtTCA.ElDeg > 60 {
			return pass
		}
	}
	t.Fatal("no good pass")
	return Pass{}
}

// Every radio's raster, nominals on it and off it, both sides: the dial is a
// multiple of the step, never farther than half of it from what is wanted
// (plus what a moment's rounding moves), and each change is a single step.
func TestStepsOnEveryRaster(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	pass := goodPass(t, p)
	for _, stepKHz := range []float64{1, 2.5, 5, 6.25, 10, 12.5} {
		for _, mhz := range []float64{435.4, 436.666, 436.885, 437.8, 145.9} {
			for _, side := range []Side{Receive, Transmit} {
				steps := p.Steps(berlin, pass, mhz, stepKHz, side)
				if !steps[0].At.Equal(pass.AOS) {
					t.Errorf("first at %v, AOS %v", steps[0].At, pass.AOS)
				}
				i := 0
				for at := pass.AOS; at.Before(pass.LOS); at = at.Add(time.Second) {
					for i+1 < len(steps) && !steps[i+1].At.After(at) {
						i++
					}
					wanted := mhz*1e6 + p.Look(berlin, at).ShiftHz(mhz)
					if side == Transmit {
						wanted = mhz*1e6 - p.Look(berlin, at).ShiftHz(mhz)
					}
					if off := math.Abs(steps[i].DialMHz*1e6 - wanted); off > stepKHz*500+1 {
						t.Errorf("%v MHz, %v kHz, %v: off by %.1f Hz", mhz, stepKHz, at, off)
					}
				}
				for i, s := range steps {
					n := s.DialMHz * 1e3 / stepKHz
					if math.Abs(n-math.Round(n)) > 1e-9 || math.Abs(s.DialMHz-mhz-s.OffsetKHz/1e3) > 1e-9 {
						t.Errorf("%v MHz, %v kHz: dial %v, offset %v", mhz, stepKHz, s.DialMHz, s.OffsetKHz)
					}
					if i > 0 && (math.Abs(math.Abs(s.DialMHz-steps[i-1].DialMHz)*1e3-stepKHz) > 1e-6 || !s.At.After(steps[i-1].At)) {
						t.Errorf("%v MHz, %v kHz: from %+v to %+v", mhz, stepKHz, steps[i-1], s)
					}
				}
			}
		}
	}
	nan := math.NaN()
	for _, bad := range [][2]float64{{nan, 5}, {436, nan}, {math.Inf(1), 5}, {436, math.Inf(1)}, {1e300, 5}, {436, 1e-300}, {-436, 5}} {
		if steps := p.Steps(berlin, pass, bad[0], bad[1], Receive); steps != nil {
			t.Errorf("%g MHz in steps of %g kHz: %d steps", bad[0], bad[1], len(steps))
		}
	}
	if steps := p.Steps(Site{LatDeg: nan, LonDeg: nan}, pass, 436, 5, Receive); steps != nil {
		t.Errorf("from no place: %v", steps)
	}
	if p.Steps(berlin, pass, 0, 5, Receive) != nil || p.Steps(berlin, pass, 436, 0, Receive) != nil {
		t.Error("steps of nothing")
	}
}

// Common practice: the receive dial starts above the nominal and comes down,
// the transmit dial of a 70 cm uplink goes the other way.
func TestSidesMoveOppositely(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	pass := goodPass(t, p)
	rx, tx := p.Steps(berlin, pass, 437.5, 5, Receive), p.Steps(berlin, pass, 437.5, 5, Transmit)
	if len(rx) != 5 || len(tx) != 5 {
		t.Fatal(len(rx), len(tx))
	}
	for i := range rx {
		if want := float64(10 - 5*i); rx[i].OffsetKHz != want || tx[i].OffsetKHz != -want {
			t.Errorf("step %d: %v and %v, want %v", i, rx[i].OffsetKHz, tx[i].OffsetKHz, want)
		}
		if d := rx[i].At.Sub(tx[i].At).Abs(); d > time.Millisecond {
			t.Errorf("step %d: apart by %v", i, d)
		}
	}
}

func TestMemoryPlan(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	pass := goodPass(t, p)
	down := Transponder{Kind: FM, UplinkMHz: 145.875, DownlinkMHz: 436.666, ToneHz: 67}
	up := Transponder{Kind: FM, UplinkMHz: 437.5, DownlinkMHz: 145.9, ToneHz: 141.3}
	for _, rows := range []int{5, 3, 1} {
		for _, tr := range []Transponder{down, up} {
			plan := p.MemoryPlan(berlin, pass, tr, 5, rows)
			if len(plan) == 0 || len(plan) > rows {
				t.Errorf("%d rows, at most %d", len(plan), rows)
			}
			for i, r := range plan {
				still, stepped, nominal := r.UplinkMHz, r.DownlinkMHz, tr.UplinkMHz
				if tr.UplinkMHz > 400 {
					still, stepped, nominal = r.DownlinkMHz, r.UplinkMHz, tr.DownlinkMHz
				}
				if still != nominal || stepped != r.DialMHz || r.ToneHz != tr.ToneHz {
					t.Errorf("row %d: %+v", i, r)
				}
			}
		}
	}
}

// What is transmitted on the uplink dial arrives at the bird where the
// transponder turns it into what arrives on the downlink dial.
func TestTuneClosesTheLoop(t *testing.T) {
	p := ephemeris(t, ochre, tableFrom, tableTo)
	pass := goodPass(t, p)
	for _, tr := range []Transponder{
		{Kind: Linear, UplinkMHz: 145.965, DownlinkMHz: 435.64, UplinkWidthKHz: 60, DownlinkWidthKHz: 60, Inverting: true},
		{Kind: Linear, UplinkMHz: 435.11, DownlinkMHz: 145.865, UplinkWidthKHz: 20, DownlinkWidthKHz: 20},
	} {
		for at := pass.AOS; at.Before(pass.LOS); at = at.Add(time.Minute) {
			shift := p.Look(berlin, at).ShiftHz(1) / 1e6 // a fraction
			for _, dial := range []float64{0, tr.DownlinkMHz - 0.01, tr.DownlinkMHz + 0.004} {
				got := p.Tune(berlin, at, tr, dial, Receive)
				heard := got.UplinkMHz * (1 + shift)
				sent := tr.DownlinkMHz + (heard - tr.UplinkMHz)
				if tr.Inverting {
					sent = tr.DownlinkMHz - (heard - tr.UplinkMHz)
				}
				arrives := sent * (1 + shift)
				if math.Abs(arrives-got.DownlinkMHz)*1e6 > 1 || dial > 0 && math.Abs(got.DownlinkMHz-dial)*1e6 > 0.01 {
					t.Errorf("%v: arrives on %.6f, dial %.6f", dial, arrives, got.DownlinkMHz)
				}
				if got.DownlinkHz*got.UplinkHz > 0 {
					t.Errorf("both corrections the same way: %+v", got)
				}
				if dial == 0 && math.Abs(sent-tr.DownlinkMHz)*1e6 > 1 {
					t.Errorf("not mid-passband: %+v", got)
				}
			}
		}
	}
}

// The practice known in the trade for good passes at 400 to 800 km: ±8.9 to
// 10.4 kHz at AOS and LOS on 70 cm, ±3.0 to 3.5 kHz on 2 m.
func TestShiftsAsKnown(t *testing.T) {
	sky := tableSky(t)
	for _, name := range []string{"OCHRE-1", "OCHRE-2"} {
		for _, pass := range sky[name].Passes(berlin, tableFrom, tableTo, 0) {
			if pass.AtTCA.ElDeg < 30 {
				continue
			}
			for _, l := range []Look{pass.AtAOS, pass.AtLOS} {
				if hi, lo := math.Abs(l.ShiftHz(436)), math.Abs(l.ShiftHz(145.9)); hi < 8900 || hi > 10400 || lo < 2950 || lo > 3500 {
					t.Errorf("%s %v: %.0f and %.0f Hz", name, pass.AOS, hi, lo)
				}
			}
			if d := pass.Duration(); d < 10*time.Minute || d > 930*time.Second {
				t.Errorf("%s %v: lasts %v", name, pass.AOS, d)
			}
		}
	}
}

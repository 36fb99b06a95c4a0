package predict

import (
	"bufio"
	"errors"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"
)

// The verification set of AIAA 2006-6753 (Vallado, Crawford, Hujsak, Kelso,
// "Revisiting Spacetrack Report #3"): 33 element sets and their states.
const verification = "../testdata/authorities/sgp4/"

type verCase struct {
	elements Elements
	states   []verState
}

type verState struct {
	minutes  float64
	pos, vel vec
}

// readVerification pairs the sets with the blocks of states, which stand in
// the same order. Columns after the 68th are left away: the set's last cases
// were made by changing digits, so that their checksums are wrong.
func readVerification(t *testing.T) []verCase {
	text, err := os.ReadFile(verification + "SGP4-VER.TLE")
	if err != nil {
		t.Fatal(err)
	}
	var cut []string
	for line := range strings.Lines(string(text)) {
		if elementLine(line, '1') || elementLine(line, '2') {
			cut = append(cut, fmt.Sprintf("%-68.68s", strings.TrimSpace(line)))
		}
	}
	sets, problems, err := ReadElements(strings.NewReader(strings.Join(cut, "\n")), "SGP4-VER.TLE")
	if err != nil || len(problems) > 0 {
		t.Fatal(problems, err)
	}
	f, err := os.Open(verification + "tcppver.out")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var cases []verCase
	for in := bufio.NewScanner(f); in.Scan(); {
		fields := strings.Fields(in.Text())
		if len(fields) == 2 {
			cases = append(cases, verCase{elements: sets[len(cases)]})
			if fields[0] != strconv.Itoa(sets[len(cases)-1].Catalog) {
				t.Fatal(fields, sets[len(cases)-1])
			}
			continue
		}
		var v [7]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(fields[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		c := &cases[len(cases)-1]
		c.states = append(c.states, verState{v[0], vec{v[1], v[2], v[3]}, vec{v[4], v[5], v[6]}})
	}
	return cases
}

// Those that the propagator gets wrong or nothing can get right, and why they
// are refused; 33333 and 33334 are no satellites but made to fail.
var refusedCases = map[int]Reason{
	11801: LowPerigee, 16925: LowPerigee, 22312: LowPerigee, 28350: LowPerigee, 28623: LowPerigee, 28872: LowPerigee,
	23333: Eccentric, 33333: Eccentric,
	33334: Absurd,
}

// Tolerances in metres: near the Earth the set is matched to its last digit,
// 1e-8 km; in deep space the propagator's whole seconds of the epoch move the
// Sun and the Moon.
const (
	nearTolerance = 1e-4
	deepTolerance = 5
)

func TestVerificationSet(t *testing.T) {
	cases := readVerification(t)
	if len(cases) != 33 {
		t.Fatalf("%d cases", len(cases))
	}
	for _, c := range cases {
		e := c.elements
		perigee := meanAxis(e)*(1-e.Eccentricity) - modelRadius
		what := fmt.Sprintf("%5d: period %5.0f min, e %.4f, perigee %6.0f km:", e.Catalog, 1440/e.MeanMotion, e.Eccentricity, perigee)
		m, err := newModel(e)
		if want := refusedCases[e.Catalog]; err != nil || want != "" {
			var refusal *Refusal
			if !errors.As(err, &refusal) || refusal.Reason != want {
				t.Errorf("%s %v, want %v", what, err, want)
			}
			t.Logf("%s refused, %v: %s", what, refusal.Reason, refusal.Detail)
			continue
		}
		tolerance := nearTolerance
		if m.period() >= deepSpace*time.Minute {
			tolerance = deepTolerance
		}
		worst := 0.0
		for _, s := range c.states {
			k := math.Round(s.minutes * 60)
			if math.Abs(k-s.minutes*60) > 1e-6 {
				t.Fatalf("%s %v min is no whole second", what, s.minutes)
			}
			pos, vel, err := m.at(int(k))
			if err != nil {
				t.Errorf("%s %v", what, err)
			}
			worst = max(worst, pos.sub(s.pos).norm()*1e3)
			if d := vel.sub(s.vel).norm() * 1e3; !(d <= 0.002) {
				t.Errorf("%s velocity differs by %.6f m/s", what, d)
			}
		}
		if !(worst <= tolerance) {
			t.Errorf("%s off by %.6f m", what, worst)
		}
		t.Logf("%s %3d states within %.6f m", what, len(c.states), worst)
	}
}

// The table's interpolation against the propagator itself, at whole seconds
// between the nodes, over six hours of every set that is not refused.
func TestTableAgainstModel(t *testing.T) {
	for _, c := range readVerification(t) {
		e := c.elements
		p, err := NewEphemeris(e, e.Epoch, e.Epoch.Add(6*time.Hour))
		if err != nil {
			if refusedCases[e.Catalog] == "" && e.Catalog != 29141 { // that one decays
				t.Error(err)
			}
			continue
		}
		worst, worstV := 0.0, 0.0
		for k := 0; k < 6*3600; k += 7 {
			at := e.Epoch.Add(time.Duration(k) * time.Second)
			pos, vel, err := p.model.at(k)
			if err != nil {
				t.Fatal(err)
			}
			pos, vel = earthFixed(pos, vel, at)
			gotPos, gotVel := p.state(p.seconds(at))
			worst = max(worst, gotPos.sub(pos).norm()*1e3)
			worstV = max(worstV, gotVel.sub(vel).norm()*1e3)
		}
		t.Logf("%5d, e %.4f: within %.4f m and %.5f m/s", e.Catalog, e.Eccentricity, worst, worstV)
		if worst > 1 {
			t.Errorf("%d: table off by %.3f m", e.Catalog, worst)
		}
	}
}

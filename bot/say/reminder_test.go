package say

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/say/saytest"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/predict/predicttest"
)

// TestReminderFits holds the reminder of every pass of every kind of radio over
// every site, at every stage of the pass, alone and in company, to the size;
// also where everything is as long as it gets.
func TestReminderFits(t *testing.T) {
	fresh, old := inventedSky(t), agedSky(t, 17*day)
	nepal := time.FixedZone("+0545", 5*3600+45*60)
	longCall := parse.MustParseCallsign("OX9QZT/QRP")
	texts := 0
	for _, grid := range referenceGrids(t) {
		for _, b := range fresh.birds {
			texts += remindersFit(t, passesOf(t, fresh, b.Name, placeAt(grid)), ownCall, nepal)
			texts += remindersFit(t, lengthened(passesOf(t, old, b.Name, placeAt(grid))), longCall, nepal)
		}
	}
	if texts < 10000 {
		t.Errorf("only %d texts", texts)
	}
}

func remindersFit(t *testing.T, passes []Pass, call parse.Callsign, loc *time.Location) (texts int) {
	t.Helper()
	for i, p := range passes {
		stages := []time.Time{
			p.AOS.Add(-10 * time.Minute), p.TCA, p.AOS.Add(-30 * time.Hour),
			p.AOS, p.LOS.Add(-time.Second), p.LOS,
		}
		for others, stages := range map[int][]time.Time{0: stages, 1: stages[:1], 3: stages[:2]} {
			company := passes[i:min(i+others, len(passes))]
			for _, now := range stages {
				checkFits(t, Reminder(p, company, call, now, loc), layout.Lines)
				texts++
			}
		}
		if t.Failed() {
			t.FailNow()
		}
	}
	return texts
}

// lengthened gives passes names and places as long as they get.
func lengthened(passes []Pass) []Pass {
	for i := range passes {
		p := &passes[i]
		p.Place.Grids = grids("JO62qm01 JO62rm02 JO62qn03 JO62rn04")
		p.Bird.Name = "LONG-NAMED-" + p.Bird.Name + "-0"
		p.Name = p.Bird.Name
	}
	return passes
}

// TestReminderAgainstReference reads the reminder of every reference pass back
// and compares what it says with the tables of the independent predictions:
// moments, directions and each change of the dial, for a downlink on
// 436.800 MHz, and mirrored for an uplink there.
func TestReminderAgainstReference(t *testing.T) {
	s := inventedSky(t)
	steps := map[string][]map[string]string{}
	for _, row := range predicttest.Rows(t, "doppler_steps_436800.csv") {
		key := row["sat"] + row["grid"] + row["n"]
		steps[key] = append(steps[key], row)
	}
	compared := 0
	for _, row := range predicttest.Rows(t, "passes.csv") {
		p := referencePass(t, s, row)
		name := row["sat"] + " " + row["grid"] + " " + row["n"]
		for _, side := range []predict.Side{predict.Receive, predict.Transmit} {
			tuned := predict.Transponder{Kind: predict.FM, UplinkMHz: 145.99, DownlinkMHz: 436.8, Mode: "FM"}
			sign := 1.0
			if side == predict.Transmit {
				tuned.UplinkMHz, tuned.DownlinkMHz, sign = 436.8, 145.99, -1
			}
			p.Bird.Transponders = []predict.Transponder{tuned}
			told := readReminder(t, Reminder(p, nil, ownCall, p.AOS.Add(-10*time.Minute), time.UTC), p.AOS)
			for what, got := range map[string]time.Time{"aos_utc": told.aos, "tca_utc": told.tca, "los_utc": told.los} {
				// Told in whole seconds; the tolerance of the table on top
				// (0.25 s where the peak is below 1°).
				if off := got.Sub(utc(row[what])).Abs(); off > 750*time.Millisecond {
					t.Errorf("%s: %s is %v, told as %v", name, what, row[what], Clock(got))
				}
			}
			checkHeading(t, name, told.rows[0], row["aos_az_deg"], row["aos_el_deg"])
			checkHeading(t, name, told.rows[len(told.rows)-1], row["los_az_deg"], row["los_el_deg"])
			checkSteps(t, name, told.rows, steps[row["sat"]+row["grid"]+row["n"]], sign)
			// No change of the dial is left out for want of room either.
			crowded := readReminder(t, Reminder(p, []Pass{p, p, p}, ownCall, p.AOS.Add(-10*time.Minute), time.UTC), p.AOS)
			checkSteps(t, name, crowded.rows, steps[row["sat"]+row["grid"]+row["n"]], sign)
			// Nor are AOS, peak and LOS.
			checkHeading(t, name, crowded.rows[0], row["aos_az_deg"], row["aos_el_deg"])
			checkHeading(t, name, crowded.rows[len(crowded.rows)-1], row["los_az_deg"], row["los_el_deg"])
			if !slices.ContainsFunc(crowded.rows, func(r toldRow) bool { return r.at.Sub(p.TCA).Abs() <= time.Second }) {
				t.Errorf("%s: no row of the peak", name)
			}
			compared++
		}
		if t.Failed() {
			t.FailNow()
		}
	}
	if compared < 1900 {
		t.Errorf("only %d compared", compared)
	}
}

// referencePass is the pass of a row, as the sky predicts it.
func referencePass(t *testing.T, s testSky, row map[string]string) Pass {
	t.Helper()
	for _, p := range passesOfDay(t, s, row["sat"], row["grid"]) {
		if p.TCA.Sub(utc(row["tca_utc"])).Abs() < time.Minute {
			return p
		}
	}
	t.Fatalf("%s over %s at %s is not predicted", row["sat"], row["grid"], row["tca_utc"])
	return Pass{}
}

// passesOfDay remembers the passes of the last bird and place asked for.
var passesOfDay = func() func(testing.TB, testSky, string, string) []Pass {
	var last string
	var kept []Pass
	return func(t testing.TB, s testSky, bird, grid string) []Pass {
		if last != bird+grid {
			last, kept = bird+grid, passesOf(t, s, bird, placeAt(grid))
		}
		return kept
	}
}()

// told is a reminder read back.
type told struct {
	aos, tca, los time.Time
	rows          []toldRow
}

type toldRow struct {
	at      time.Time
	azimuth int
	point   string
	degrees int
	mhz     float64
}

// readReminder reads the moments and the timetable out of a reminder.
func readReminder(t *testing.T, text string, aos time.Time) told {
	t.Helper()
	moment := func(word string) time.Time {
		at, err := time.Parse("15:04:05", word)
		if err != nil {
			t.Fatalf("%v in\n%s", err, text)
		}
		start := aos.Add(-time.Second)
		at = time.Date(start.Year(), start.Month(), start.Day(), at.Hour(), at.Minute(), at.Second(), 0, time.UTC)
		if at.Before(start.Truncate(time.Second)) {
			at = at.Add(day)
		}
		return at
	}
	var got told
	for line := range strings.Lines(saytest.Unstyled(text)) {
		f := strings.Fields(strings.ReplaceAll(line, ",", ""))
		switch {
		case f[0] == "AOS":
			got.aos = moment(f[1])
		case f[0] == "TCA":
			got.tca, got.los = moment(f[1]), moment(f[5])
		case len(f) == 5 && strings.Count(f[0], ":") == 2:
			row := toldRow{at: moment(f[0]), point: f[2]}
			if _, err := fmt.Sscanf(f[1]+" "+f[3]+" "+f[4], "%d %d° %f", &row.azimuth, &row.degrees, &row.mhz); err != nil {
				t.Fatalf("%v in\n%s", err, text)
			}
			got.rows = append(got.rows, row)
		}
	}
	if got.aos.IsZero() || len(got.rows) < 2 {
		t.Fatalf("not a whole reminder:\n%s", text)
	}
	return got
}

func checkHeading(t *testing.T, name string, row toldRow, azDeg, elDeg string) {
	t.Helper()
	az, _ := strconv.ParseFloat(azDeg, 64)
	el, _ := strconv.ParseFloat(elDeg, 64)
	if off := math.Abs(math.Remainder(float64(row.azimuth)-az, 360)); off > 0.51 {
		t.Errorf("%s: azimuth %v told as %d", name, az, row.azimuth)
	}
	if off := math.Abs(float64(row.degrees) - el); off > 0.51 {
		t.Errorf("%s: elevation %v told as %d", name, el, row.degrees)
	}
}

// checkSteps finds every step of the reference in the timetable, and no other.
func checkSteps(t *testing.T, name string, rows []toldRow, steps []map[string]string, sign float64) {
	t.Helper()
	var want, got []float64
	var at []time.Time
	for _, step := range steps {
		khz, _ := strconv.ParseFloat(step["offset_khz"], 64)
		want = append(want, math.Round(436800+sign*khz))
		at = append(at, utc(step["from_utc"]))
	}
	var gotAt []time.Time
	for _, row := range rows {
		if khz := math.Round(row.mhz * 1000); len(got) == 0 || got[len(got)-1] != khz {
			got, gotAt = append(got, khz), append(gotAt, row.at)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("%s: the dial goes %v, should go %v", name, got, want)
		return
	}
	for i := range at {
		if off := gotAt[i].Sub(at[i]).Abs(); off > 1500*time.Millisecond {
			t.Errorf("%s: to %v at %v, told as %v", name, want[i], at[i], Clock(gotAt[i]))
		}
	}
}

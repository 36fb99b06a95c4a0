package choice

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"skyslate/bot/sky"
	"skyslate/predict"
	"skyslate/storage"
)

var choosable = []predict.Bird{
	{Name: "OCHRE-1", Catalog: 99101, Aliases: []string{"OC-1"}, Status: predict.Status{On: true}, Transponders: []predict.Transponder{{Kind: predict.FM}}},
	{Name: "OCHRE-2", Catalog: 99102, Transponders: []predict.Transponder{{Kind: predict.FM}}},
	{Name: "UMBER-A", Catalog: 99113, Status: predict.Status{On: true}, Transponders: []predict.Transponder{{Kind: predict.Linear}}},
}

// passesOf reads passes from lines of "bird AOS peak [arm] [decided] [hidden] [void]".
func passesOf(t *testing.T, lines string) []storage.Pass {
	t.Helper()
	var passes []storage.Pass
	for line := range strings.Lines(lines) {
		f := strings.Fields(line)
		if len(f) == 0 {
			continue
		}
		b, _ := sky.Find(choosable, f[0])
		aos, err := time.Parse("2006-01-02T15:04", f[1])
		if err != nil {
			t.Fatal(err)
		}
		p := storage.Pass{Bird: storage.BirdRef{Name: b.Name, Catalog: b.Catalog}, AOS: aos}
		p.ID = storage.PassID(fmt.Sprintf("%s-%d", aos.Format("20060102T150405Z"), b.Catalog))
		if _, err := fmt.Sscan(f[2], &p.PeakElDeg); err != nil {
			t.Fatal(err)
		}
		for _, word := range f[3:] {
			switch word {
			case "decided":
				p.Decided = aos.Add(-10 * time.Minute)
			case "hidden":
				p.Place.Horizon = []storage.Hidden{{}}
			case "void":
				p.Void = true
			default:
				p.Arm = storage.Arming(word)
			}
		}
		passes = append(passes, p)
	}
	return passes
}

// behindTrees is a pass that is hidden: it has a horizon here.
func behindTrees(p storage.Pass) bool { return len(p.Place.Horizon) > 0 }

func TestChoose(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	remind := func(change func(*storage.Remind)) storage.Remind {
		r := storage.DefaultRemind()
		if change != nil {
			change(&r)
		}
		return r
	}
	tests := []struct {
		name   string
		remind storage.Remind
		loc    *time.Location
		passes string
		want   string // one letter a pass: a auto, h by hand, s skipped, - none
	}{
		{
			"a newcomer: FM, known to be on, peak at least", remind(nil), time.UTC,
			`OCHRE-1 2026-09-01T12:00 30
			 OCHRE-1 2026-09-01T14:00 29.99
			 OCHRE-2 2026-09-01T15:00 80
			 UMBER-A 2026-09-01T16:00 80`,
			"a---",
		},
		{
			"named birds, whatever their state, by any of their names", remind(func(r *storage.Remind) { r.Birds = []string{"ochre 2", "99113"} }), time.UTC,
			`OCHRE-1 2026-09-01T12:00 80
			 OCHRE-2 2026-09-01T15:00 80
			 UMBER-A 2026-09-01T16:00 80`,
			"-aa",
		},
		{
			"hours are half-open", remind(nil), time.UTC,
			`OCHRE-1 2026-09-01T07:59 80
			 OCHRE-1 2026-09-01T08:00 80
			 OCHRE-1 2026-09-01T21:59 80
			 OCHRE-1 2026-09-01T22:00 80`,
			"-aa-",
		},
		{
			"hours are the place's", remind(nil), berlin, // UTC+2 in summer
			`OCHRE-1 2026-09-01T05:59 80
			 OCHRE-1 2026-09-01T06:00 80
			 OCHRE-1 2026-09-01T19:59 80
			 OCHRE-1 2026-09-01T20:00 80`,
			"-aa-",
		},
		{
			"hours over midnight", remind(func(r *storage.Remind) { r.From, r.Until = 20, 6 }), time.UTC,
			`OCHRE-1 2026-09-01T19:59 80
			 OCHRE-1 2026-09-01T20:00 80
			 OCHRE-1 2026-09-02T05:59 80
			 OCHRE-1 2026-09-02T06:00 80`,
			"-aa-",
		},
		{
			"the whole day, in both ways of saying it", remind(func(r *storage.Remind) { r.From, r.Until = 0, 24 }), time.UTC,
			`OCHRE-1 2026-09-01T00:00 80
			 OCHRE-1 2026-09-01T23:59 80`,
			"aa",
		},
		{
			"ending where it begins", remind(func(r *storage.Remind) { r.From, r.Until = 9, 9 }), time.UTC,
			`OCHRE-1 2026-09-01T08:59 80
			 OCHRE-1 2026-09-01T09:00 80`,
			"aa",
		},
		{
			"the day clocks go forward: 02:30 is not there, 08:00 is an hour sooner", remind(func(r *storage.Remind) { r.From, r.Until = 2, 4 }), berlin,
			`OCHRE-1 2026-03-29T00:59 80
			 OCHRE-1 2026-03-29T01:00 80
			 OCHRE-1 2026-03-29T01:59 80
			 OCHRE-1 2026-03-29T02:00 80`, // 01:59 CET, then 03:00 CEST, 03:59, 04:00
			"-aa-",
		},
		{
			"the day clocks go back: 02:30 comes twice, one cap for 25 hours", remind(func(r *storage.Remind) { r.From, r.Until, r.PerDay = 0, 24, 3 }), berlin,
			`OCHRE-1 2026-10-24T22:00 40
			 OCHRE-1 2026-10-25T00:30 41
			 OCHRE-1 2026-10-25T01:30 42
			 OCHRE-1 2026-10-25T22:59 43
			 OCHRE-1 2026-10-25T23:00 44`, // 00:00 CEST, 02:30, 02:30, 23:59 CET; next day
			"-aaaa",
		},
		{
			"the cap takes the best of each local day", remind(func(r *storage.Remind) { r.PerDay = 2 }), time.UTC,
			`OCHRE-1 2026-09-01T09:00 40
			 OCHRE-1 2026-09-01T11:00 70
			 OCHRE-1 2026-09-01T13:00 60
			 OCHRE-1 2026-09-02T09:00 31`,
			"-aaa",
		},
		{
			"the earlier of equals", remind(func(r *storage.Remind) { r.PerDay = 1 }), time.UTC,
			`OCHRE-1 2026-09-01T11:00 70
			 OCHRE-1 2026-09-01T09:00 70`,
			"-a",
		},
		{
			"by hand comes on top, whatever the limits", remind(func(r *storage.Remind) { r.PerDay = 1 }), time.UTC,
			`UMBER-A 2026-09-01T03:00 2 armed
			 OCHRE-1 2026-09-01T09:00 90 armed
			 OCHRE-1 2026-09-01T11:00 40
			 OCHRE-1 2026-09-01T13:00 60`,
			"hh-a",
		},
		{
			"skipping brings no other", remind(func(r *storage.Remind) { r.PerDay = 1 }), time.UTC,
			`OCHRE-1 2026-09-01T11:00 40
			 OCHRE-1 2026-09-01T13:00 60 skipped`,
			"-s",
		},
		{
			"nor does skipping after the reminder", remind(func(r *storage.Remind) { r.PerDay = 1 }), time.UTC,
			`OCHRE-1 2026-09-01T11:00 40
			 OCHRE-1 2026-09-01T13:00 60 skipped decided`,
			"-s",
		},
		{
			"skipping what would not have come leaves the rest alone", remind(func(r *storage.Remind) { r.PerDay = 1 }), time.UTC,
			`OCHRE-1 2026-09-01T11:00 40 skipped
			 OCHRE-1 2026-09-01T13:00 60`,
			"sa",
		},
		{
			"decided ones stay and use up the cap", remind(func(r *storage.Remind) { r.PerDay = 2 }), time.UTC,
			`OCHRE-1 2026-09-01T09:00 31 auto decided
			 OCHRE-2 2026-09-01T10:00 80 decided
			 OCHRE-1 2026-09-01T11:00 40
			 OCHRE-1 2026-09-01T13:00 60`,
			"a--a",
		},
		{
			"an undecided one gives way to a better one", remind(func(r *storage.Remind) { r.PerDay = 1 }), time.UTC,
			`OCHRE-1 2026-09-01T09:00 31 auto
			 OCHRE-1 2026-09-01T13:00 60`,
			"-a",
		},
		{
			"behind trees and hills all along: it doesn't come and doesn't count, unless armed", remind(func(r *storage.Remind) { r.PerDay = 1 }), time.UTC,
			`OCHRE-1 2026-09-01T09:00 80 hidden
			 OCHRE-1 2026-09-01T11:00 70 auto hidden
			 OCHRE-1 2026-09-01T13:00 40
			 OCHRE-1 2026-09-01T15:00 90 armed hidden
			 OCHRE-1 2026-09-01T17:00 90 skipped hidden
			 OCHRE-1 2026-09-02T09:00 80 hidden
			 OCHRE-1 2026-09-03T09:00 80 auto decided hidden
			 OCHRE-1 2026-09-03T11:00 80`,
			"--ahs-a-",
		},
		{
			"what does not take place neither comes nor counts", remind(func(r *storage.Remind) { r.PerDay = 1 }), time.UTC,
			`OCHRE-1 2026-09-01T09:00 80 auto decided void
			 OCHRE-1 2026-09-01T11:00 80 void
			 OCHRE-1 2026-09-01T13:00 60`,
			"a-a",
		},
		{
			"reminders off: only what was armed by hand", remind(func(r *storage.Remind) { r.Off = true }), time.UTC,
			`OCHRE-1 2026-09-01T09:00 80 auto
			 OCHRE-1 2026-09-01T11:00 80 armed
			 OCHRE-1 2026-09-01T13:00 60`,
			"-h-",
		},
		{
			"a cap of none", remind(func(r *storage.Remind) { r.PerDay = 0 }), time.UTC,
			`OCHRE-1 2026-09-01T09:00 80
			 OCHRE-1 2026-09-01T11:00 80 armed`,
			"-h",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var got strings.Builder
			for _, arm := range Arms(tt.remind, passesOf(t, tt.passes), choosable, tt.loc, behindTrees) {
				got.WriteString(map[storage.Arming]string{
					storage.ArmNone: "-", storage.ArmAuto: "a", storage.ArmHand: "h", storage.ArmSkipped: "s",
				}[arm])
			}
			if diff := cmp.Diff(tt.want, got.String()); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// TestChooseLaws holds choosing to what must be true of any day: it is stable,
// never over the cap, and no pass left out is better than one taken.
func TestChooseLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := storage.DefaultRemind()
		r.From, r.Until = 0, 24
		r.PerDay = rapid.IntRange(0, 5).Draw(t, "cap")
		start := time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC)
		passes := make([]storage.Pass, rapid.IntRange(0, 20).Draw(t, "passes"))
		for i := range passes {
			passes[i] = storage.Pass{
				ID:        storage.PassID(fmt.Sprint(i)),
				Bird:      storage.BirdRef{Catalog: 99101},
				AOS:       start.Add(time.Duration(rapid.IntRange(0, 1439).Draw(t, "minute")) * time.Minute),
				PeakElDeg: float64(rapid.IntRange(20, 40).Draw(t, "peak")),
				Arm:       rapid.SampledFrom([]storage.Arming{storage.ArmNone, storage.ArmAuto, storage.ArmHand, storage.ArmSkipped}).Draw(t, "arm"),
			}
		}
		arms := Arms(r, passes, choosable, time.UTC, behindTrees)
		auto := 0
		for i := range passes {
			was := passes[i].Arm
			if (was == storage.ArmHand || was == storage.ArmSkipped) && arms[i] != was {
				t.Fatalf("pass %d: %q became %q", i, was, arms[i])
			}
			passes[i].Arm = arms[i]
			if arms[i] != storage.ArmAuto {
				continue
			}
			auto++
			if passes[i].PeakElDeg < r.PeakDeg {
				t.Fatalf("pass %d peaks at %v", i, passes[i].PeakElDeg)
			}
			for j := range passes {
				if arms[j] == storage.ArmNone && passes[j].PeakElDeg > passes[i].PeakElDeg {
					t.Fatalf("pass %d was taken, %d is better", i, j)
				}
			}
		}
		if auto > r.PerDay {
			t.Fatalf("%d a day, at most %d", auto, r.PerDay)
		}
		if diff := cmp.Diff(arms, Arms(r, passes, choosable, time.UTC, behindTrees)); diff != "" {
			t.Fatalf("a second time (-first +second):\n%s", diff)
		}
	})
}

// The days are those of the operator's clock, and hours over midnight belong to the day
// on which they begin. 22 May 2027 is a Saturday.
func TestInHours(t *testing.T) {
	r := storage.Remind{From: 8, Until: 22}
	for _, day := range []time.Weekday{1, 2, 3, 4, 5} {
		r.Week[day].Off = true
	}
	r.Week[time.Saturday] = storage.DayHours{From: 20, Until: 2}
	for moment, want := range map[string]bool{
		"2027-05-21T21:59": false,
		"2027-05-22T01:00": false, // of Friday's night
		"2027-05-22T12:00": false,
		"2027-05-22T20:00": true,
		"2027-05-23T01:59": true,
		"2027-05-23T02:00": false,
		"2027-05-23T08:00": true,
		"2027-05-23T22:00": false,
		"2027-05-24T08:00": false,
	} {
		at, err := time.Parse("2006-01-02T15:04", moment)
		if err != nil || inHours(r, at) != want {
			t.Errorf("%s: %v, want %v (%v)", moment, !want, want, err)
		}
	}
}

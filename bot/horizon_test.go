package bot

import (
	"math"
	"strconv"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

func TestParseHorizon(t *testing.T) {
	for _, tt := range []struct {
		text string
		want []storage.Hidden // nil: refused
	}{
		{"10", []storage.Hidden{{ToDeg: 360, ElDeg: 10}}},
		{"12.5°", []storage.Hidden{{ToDeg: 360, ElDeg: 12.5}}},
		{"270-330 25", []storage.Hidden{{FromDeg: 270, ToDeg: 330, ElDeg: 25}}},
		{"330-20 25, 5", []storage.Hidden{{FromDeg: 330, ToDeg: 20, ElDeg: 25}, {ToDeg: 360, ElDeg: 5}}},
		{"10\n20-60 15", []storage.Hidden{{ToDeg: 360, ElDeg: 10}, {FromDeg: 20, ToDeg: 60, ElDeg: 15}}},
		{"", nil},
		{",", nil},
		{"90", nil},
		{"-5", nil},
		{"x", nil},
		{"270-361 25", nil},
		{"90-90 25", nil},
		{"270 330 25", nil},
		{"270-330", nil},
		{"1,2,3,4,5,6,7,8,9", nil},
	} {
		got, err := parseHorizon(tt.text)
		if diff := cmp.Diff(tt.want, got); diff != "" || (err != nil) != (tt.want == nil) {
			t.Errorf("%q: %v (-want +got):\n%s", tt.text, err, diff)
		}
		if err != nil {
			checkFits(t, err.Error(), textLines)
		}
	}
}

func FuzzParseHorizon(f *testing.F) {
	for _, s := range []string{"10", "270-330 25, 20-60 15", "330-20 25", "1e1", "0x1p3", "-0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		parts, err := parseHorizon(text)
		if (err == nil) != (len(parts) > 0) {
			t.Fatalf("%q: %v, %v", text, parts, err)
		}
		for _, h := range parts {
			if !(h.ElDeg >= 0 && h.ElDeg <= 89 && h.FromDeg >= 0 && h.FromDeg <= 360 && h.ToDeg >= 0 && h.ToDeg <= 360) {
				t.Fatalf("%q: %+v", text, h)
			}
		}
	})
}

// everythingSet has all set that an operator can, for texts that must still fit.
func everythingSet(p passing) passing {
	p.pass.Place.Horizon = []storage.Hidden{
		{ToDeg: 360, ElDeg: 3}, {FromDeg: 100, ToDeg: 140, ElDeg: 25}, {FromDeg: 200, ToDeg: 230, ElDeg: 20},
	}
	for _, g := range []string{"JO33", "KO24", "IO91", "JP71", "FN31", "QF56"} {
		p.wanted = append(p.wanted, parse.MustParseGrid(g))
	}
	p.rig.Both = true
	return p
}

// Reminders and what is told of light fit whatever the operator has set, at every
// reference site, with every raster.
func TestEverythingSetFits(t *testing.T) {
	for _, sky := range []*Sky{inventedSky(t), agedSky(t, 16*day)} {
		for _, grid := range referenceGrids(t) {
			for _, b := range sky.Birds() {
				passes := passingsOf(t, sky, b.Name, placeAt(grid))
				for i, p := range passes[:min(len(passes), 4)] {
					p = everythingSet(p)
					p.rig.StepKHz = rasters[i%len(rasters)]
					checkFits(t, reminderText(p, nil, ownCall, p.pass.AOS.Add(-10*time.Minute), time.UTC), textLines)
					checkFits(t, lightsText(p), textLines)
					if b.Main().Kind == predict.FM {
						checkFits(t, memoriesText(p, p.table.MemoryPlan(siteOf(p.pass.Place), p.predicted(), p.radio(), rasterOf(p.rig), mostMemories)), textLines)
					} else {
						checkFits(t, dialText(p, p.radio(), p.pass.TCA), textLines)
					}
				}
			}
		}
	}
	for _, text := range []string{textHelp, textHelpMore, textRadioUsage, textWithUsage, textNoneWanted, textNoneAhead, birdUsage().Error(), errTooManyBirds.Error(), horizonText(storage.Place{})} {
		checkFits(t, text, textLines)
	}
}

// Dials told are multiples of the raster, in every form.
func TestDialsAreOfTheRaster(t *testing.T) {
	sky := inventedSky(t)
	for _, step := range rasters {
		for _, b := range sky.Birds() {
			passes := passingsOf(t, sky, b.Name, placeAt("JO62qm"))
			for _, p := range passes[:min(len(passes), 1)] {
				p.rig.StepKHz = step
				for _, side := range steppedSides(p.radio()) {
					for _, s := range p.steps(side) {
						text := dialled(s.DialMHz, step)
						mhz, err := strconv.ParseFloat(text, 64)
						if n := mhz * 1000 / step; err != nil || math.Abs(n-math.Round(n)) > 1e-6 {
							t.Fatalf("%s at %g kHz: %s is no multiple", b.Name, step, text)
						}
					}
				}
			}
		}
	}
}

// The dial of either side leads to the other and back.
func TestTunedBothWays(t *testing.T) {
	sky := inventedSky(t)
	for _, inverting := range []bool{true, false} {
		for _, p := range passingsOf(t, sky, "UMBER-A", placeAt("JO62qm")) {
			radio := p.radio()
			radio.Inverting = inverting
			for _, at := range dialTimes(p.pass, p.pass.AOS) {
				for _, down := range []float64{435.612, 435.64, 435.668} {
					site := siteOf(p.pass.Place)
					there := p.table.TuneTo(site, at, radio, down, predict.Receive)
					back := p.table.TuneTo(site, at, radio, there.UplinkMHz, predict.Transmit)
					if off := math.Abs(back.DownlinkMHz-down) * 1e6; off > 0.5 {
						t.Fatalf("at %v: %.6f goes to %.6f and back to %.6f, %.2f Hz off", at, down, there.UplinkMHz, back.DownlinkMHz, off)
					}
				}
			}
		}
	}
}

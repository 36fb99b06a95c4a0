package bot

import (
	"math"
	"testing"
	"time"

	"skyslate/predict"
)

// The dial of either side leads to the other and back.
func TestTunedBothWays(t *testing.T) {
	for _, inverting := range []bool{true, false} {
		for _, p := range viewsOf(t, inventedSky(t), "UMBER-A", placeAt("JO62qm")) {
			radio := p.Transponder()
			radio.Inverting = inverting
			for _, at := range []time.Time{p.AOS, p.TCA, p.LOS} {
				for _, down := range []float64{435.612, 435.64, 435.668} {
					site := p.Place.Site
					there := p.Table.TuneTo(site, at, radio, down, predict.Receive)
					back := p.Table.TuneTo(site, at, radio, there.UplinkMHz, predict.Transmit)
					if off := math.Abs(back.DownlinkMHz-down) * 1e6; off > 0.5 {
						t.Fatalf("at %v: %.6f goes to %.6f and back to %.6f, %.2f Hz off", at, down, there.UplinkMHz, back.DownlinkMHz, off)
					}
				}
			}
		}
	}
}

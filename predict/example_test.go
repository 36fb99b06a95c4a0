package predict_test

import (
	"fmt"
	"log"
	"strings"
	"time"

	"skyslate/predict"
)

// The next pass of an invented bird that rises above 30°, and how to dial its
// downlink.
func Example() {
	sets, problems, err := predict.ReadElements(strings.NewReader(`OCHRE-1
1 99101U 26901A   26244.15277431  .00016410  00000+0  29000-3 0   127
2 99101  51.6400 120.2711 0006103  77.1200 283.0500 15.48881812 41233
`), "invented.tle")
	if err != nil || len(problems) > 0 {
		log.Fatal(problems, err)
	}
	from := time.Date(2026, 9, 1, 12, 0, 0, 0, time.UTC)
	to := from.Add(24 * time.Hour)
	table, err := predict.NewEphemeris(sets[0], from, to)
	if err != nil {
		log.Fatal(err)
	}
	place := predict.Site{LatDeg: 52.52, LonDeg: 13.375}
	for _, pass := range table.Passes(place, from, to, 0) {
		if pass.AtTCA.ElDeg < 30 {
			continue
		}
		fmt.Printf("%s rises %s in the %s, peaks at %.0f°\n", pass.Name,
			pass.AOS.Format(time.TimeOnly), predict.CompassPoint(pass.AtAOS.AzDeg), pass.AtTCA.ElDeg)
		for _, step := range table.Steps(place, pass, 437.8, 5, predict.Receive) {
			fmt.Printf("%s  %.3f\n", step.At.Format(time.TimeOnly), step.DialMHz)
		}
		break
	}
	// Output:
	// OCHRE-1 rises 13:12:55 in the WSW, peaks at 66°
	// 13:12:55  437.810
	// 13:17:13  437.805
	// 13:18:04  437.800
	// 13:18:36  437.795
	// 13:19:27  437.790
}

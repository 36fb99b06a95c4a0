package draw

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/predict"
)

func gridsOf(s string) []parse.Grid {
	var all []parse.Grid
	for _, w := range strings.Fields(s) {
		all = append(all, parse.MustParseGrid(w))
	}
	return all
}

func TestLookMaps(t *testing.T) {
	for i, w := range []Worked{
		{Span: "all", Grids: gridsOf("JO33 JO43 JO62 JN48 IO91 IO85 IP62 KP20 JN59 JO22 JO21 JN18 IM58 IN80 JN61 KN34 JP99 HP94 IO53"), Newest: gridsOf("JO33"), OwnLat: 62.5, OwnLon: -7, OwnName: "IP62"},
		{Span: "this year", Grids: gridsOf("JO33"), Newest: gridsOf("JO33"), OwnLat: 53.5, OwnLon: 9, OwnName: "JO43"},
		{Span: "WICKET-1", Grids: gridsOf("RE78 RF70 BL11 QF56 AH46 AG04"), Newest: gridsOf("BL11"), OwnLat: -36, OwnLon: 174, OwnName: "RF73"},
		{Span: "all", Grids: gridsOf("JO33 FN31 QF56 PM95 GG66 KG33 CN87 OJ11"), Newest: gridsOf("QF56 QF57"), OwnLat: 53.5, OwnLon: 9, OwnName: "JO43"},
	} {
		png, err := w.PNG()
		if err != nil {
			t.Fatal(err)
		}
		t.Log(len(png))
		os.WriteFile(fmt.Sprintf("/tmp/skyslate/drawtry/worked%d.png", i), png, 0o644)
	}
	for i, r := range []Reach{reach(t, predict.Site{LatDeg: 52.5, LonDeg: -7}), reach(t, predict.Site{LatDeg: -36, LonDeg: 174})} {
		png, err := r.PNG()
		if err != nil {
			t.Fatal(err)
		}
		t.Log(len(png))
		os.WriteFile(fmt.Sprintf("/tmp/skyslate/drawtry/reach%d.png", i), png, 0o644)
	}
}

func reach(t testing.TB, site predict.Site) Reach {
	from := time.Date(2027, 5, 23, 10, 30, 0, 0, time.UTC)
	table := tableOf(t, "WICKET-1", from)
	pass := table.Passes(site, from, from.Add(24*time.Hour), 5)[0]
	r := Reach{Bird: "WICKET-1", AOS: pass.AOS, LOS: pass.LOS, OwnLat: site.LatDeg, OwnLon: site.LonDeg, OwnName: parse.GridAt(site.LatDeg, site.LonDeg, 4).String()}
	for lat := -89.5; lat < 90; lat++ {
		for lon := -179.0; lon < 180; lon += 2 {
			w := Window{Grid: parse.GridAt(lat, lon, 4)}
			for at := pass.AOS; at.Before(pass.LOS); at = at.Add(15 * time.Second) {
				if table.Look(predict.Site{LatDeg: lat, LonDeg: lon}, at).ElDeg >= 0 {
					if w.From.IsZero() {
						w.From = at
					}
					w.To = at
				}
			}
			if w.open() {
				r.Squares = append(r.Squares, w)
				if g := w.Grid.String(); g == "JO33" || g == "IM58" || g == "KP20" {
					r.Wanted = append(r.Wanted, w)
				}
			}
		}
	}
	r.Wanted = append(r.Wanted, Window{Grid: parse.MustParseGrid("FN31")})
	return r
}

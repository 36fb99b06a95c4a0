package parse

import (
	"cmp"
	_ "embed"
	"math"
	"strings"
)

// seriesTable is the table of international call sign series.
//
//go:embed series.txt
var seriesTable string

// seriesByPair gives the administration for each pair of first characters,
// halfSeries for those of three that belong to series which two share, and fieldsOf
// the fields of an administration's territories.
var seriesByPair, halfSeries, fieldsOf = readSeries()

const symbols = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

// pairIndex numbers a pair of symbols.
func pairIndex(a, b byte) int {
	return len(symbols)*strings.IndexByte(symbols, a) + strings.IndexByte(symbols, b)
}

func readSeries() (pairs [36 * 36]string, halves map[string]string, fields map[string][]string) {
	halves, fields = map[string]string{}, map[string][]string{}
	eachRow(seriesTable, func(_ int, row string) {
		name, runs, _ := strings.Cut(row, ": ")
		runs, within, _ := strings.Cut(runs, " @ ")
		fields[name] = strings.Fields(within)
		for run := range strings.FieldsSeq(runs) {
			first, last, _ := strings.Cut(run, "-")
			n := len(first) - 1
			for c := first[n]; c <= cmp.Or(last, first)[n]; c++ {
				if n == 1 {
					pairs[pairIndex(first[0], c)] = name
				} else {
					halves[first[:n]+string(c)] = name
				}
			}
		}
	})
	return pairs, halves, fields
}

// farDeg is how far outside a field a grid is far from what lies in it, in degrees of
// latitude and half as many again of longitude: some 300 km. No source: a guess at what
// can't be a slip beside a border.
const farDeg = 3

// near reports whether a grid lies in a field, or not far outside it.
func near(g Grid, field string) bool {
	lat, lon := g.Center()
	south, west := 10*float64(field[1]-'A')-90, 20*float64(field[0]-'A')-180
	outside := func(x, from, to float64) float64 { return max(from-x, x-to, 0) }
	east := math.Mod(lon-west+540, 360) - 180 // from the western edge, over the date line too
	return outside(lat, south, south+10) <= farDeg && outside(east, 0, 20) <= 1.5*farDeg
}

// allocated reports whether two characters are a full series.
func allocated(a, b byte) bool { return seriesByPair[pairIndex(a, b)] != "" }

// series returns the administration to whose series a prefix or call belongs.
func series(s string) string {
	switch {
	case len(s) == 1 || isOne(s[0]):
		return seriesByPair[pairIndex(s[0], 'A')]
	case len(s) > 2 && halfSeries[s[:3]] != "":
		return halfSeries[s[:3]]
	}
	return seriesByPair[pairIndex(s[0], s[1])]
}

// Package series knows the international call sign series: Appendix 42 of the ITU Radio
// Regulations.
package series

import (
	"cmp"
	_ "embed"
	"math"
	"slices"
	"strings"
)

// table is the list of series by administration.
//
//go:embed series.txt
var table string

// byPair gives the administration for each pair of first characters,
// halfSeries for those of three that belong to series which two share, and fieldsOf
// the fields of an administration's territories.
var byPair, halfSeries, fieldsOf = readSeries()

const symbols = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

// pairIndex numbers a pair of symbols.
func pairIndex(a, b byte) int {
	return len(symbols)*strings.IndexByte(symbols, a) + strings.IndexByte(symbols, b)
}

func readSeries() (pairs [36 * 36]string, halves map[string]string, fields map[string][]string) {
	halves, fields = map[string]string{}, map[string][]string{}
	for row := range strings.Lines(table) {
		if row[0] == '#' || row[0] == '\n' {
			continue
		}
		name, runs, _ := strings.Cut(strings.TrimSpace(row), ": ")
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
	}
	return pairs, halves, fields
}

// Allocated reports whether two characters are a full series.
func Allocated(a, b byte) bool { return byPair[pairIndex(a, b)] != "" }

// Of returns the administration to whose series a prefix or call belongs.
func Of(s string) string {
	switch {
	case len(s) == 1 || IsOne(s[0]):
		return byPair[pairIndex(s[0], 'A')]
	case len(s) > 2 && halfSeries[s[:3]] != "":
		return halfSeries[s[:3]]
	}
	return byPair[pairIndex(s[0], s[1])]
}

// farDeg is how far outside a field a place is far from what lies in it, in degrees of
// latitude and half as many again of longitude: some 300 km. No source: a guess at what
// can't be a slip beside a border.
const farDeg = 3

// Near reports whether a place lies in a Maidenhead field with territories of an
// administration, or not far outside it; true where its territories are not known.
func Near(name string, latDeg, lonDeg float64) bool {
	fields := fieldsOf[name]
	return len(fields) == 0 || slices.ContainsFunc(fields, func(field string) bool {
		south, west := 10*float64(field[1]-'A')-90, 20*float64(field[0]-'A')-180
		east := math.Mod(lonDeg-west+540, 360) - 180 // from the western edge, over the date line too
		return max(south-latDeg, latDeg-south-10, 0) <= farDeg && max(-east, east-20, 0) <= 1.5*farDeg
	})
}

// IsOne reports whether a letter alone is a prefix (No. 19.50; 2 is never used so by
// amateurs).
func IsOne(c byte) bool { return strings.IndexByte("BFGIKMNRW", c) >= 0 }

// HalfLen returns the length of the half-series prefix that s begins with, or 0.
func HalfLen(s string) int {
	if len(s) >= 3 && (s[:2] == "3D" || s[:2] == "SS") && 'A' <= s[2] && s[2] <= 'Z' {
		return 3
	}
	return 0
}

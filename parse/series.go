package parse

import (
	"cmp"
	_ "embed"
	"strings"
)

// seriesTable is the table of international call sign series.
//
//go:embed series.txt
var seriesTable string

// seriesByPair gives the administration for each pair of first characters,
// halfSeries for those of three that belong to series which two share.
var seriesByPair, halfSeries = readSeries()

const symbols = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

// pairIndex numbers a pair of symbols.
func pairIndex(a, b byte) int {
	return len(symbols)*strings.IndexByte(symbols, a) + strings.IndexByte(symbols, b)
}

func readSeries() (pairs [36 * 36]string, halves map[string]string) {
	halves = map[string]string{}
	eachRow(seriesTable, func(_ int, row string) {
		name, runs, _ := strings.Cut(row, ": ")
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
	return pairs, halves
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

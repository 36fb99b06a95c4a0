package parse

import (
	_ "embed"
	"strings"
)

// seriesTable is the table of international call sign series.
//
//go:embed series.txt
var seriesTable string

// halfSeries are the series that two administrations share by their third
// character: pair, first and last of them, administration.
var halfSeries = [...]struct{ pair, from, to, name string }{
	{"3D", "A", "M", "Eswatini"},
	{"3D", "N", "Z", "Fiji"},
	{"SS", "A", "M", "Egypt"},
	{"SS", "N", "Z", "Sudan"},
}

// seriesByPair gives the administration for each pair of first characters.
var seriesByPair = readSeries()

// pairIndex numbers a pair of characters; both must be letters or digits.
func pairIndex(a, b byte) int {
	number := func(c byte) int {
		if isDigit(c) {
			return int(c - '0')
		}
		return int(c-'A') + 10
	}
	return number(a)*36 + number(b)
}

func readSeries() (names [36 * 36]string) {
	for line := range strings.Lines(strings.TrimSpace(seriesTable)) {
		name, all, ok := strings.Cut(strings.TrimSpace(line), ": ")
		if !ok || line[0] == '#' {
			continue
		}
		for run := range strings.FieldsSeq(all) {
			last := run[len(run)-1]
			for c := run[1]; c <= last; c++ {
				names[pairIndex(run[0], c)] = name
			}
		}
	}
	return names
}

// allocated reports whether two characters are a full series.
func allocated(a, b byte) bool { return seriesByPair[pairIndex(a, b)] != "" }

// series returns the administration to whose series a prefix or call belongs.
func series(s string) string {
	if len(s) == 1 || isOne(s[0]) {
		return seriesByPair[pairIndex(s[0], 'A')]
	}
	if len(s) >= 3 {
		for _, h := range halfSeries {
			if s[:2] == h.pair && h.from <= s[2:3] && s[2:3] <= h.to {
				return h.name
			}
		}
		if s[:3] == "3D2" {
			return "Fiji"
		}
	}
	return seriesByPair[pairIndex(s[0], s[1])]
}

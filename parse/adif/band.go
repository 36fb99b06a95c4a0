package adif

import (
	"slices"
	"strings"
)

type band struct {
	name      string
	low, high float64 // MHz, both ends belong to it
}

// bands is the part of the Band enumeration (ADIF 3.1.7 section III.B) that the
// amateur-satellite service uses, from 21 MHz up.
var bands = []band{
	{"15m", 21, 21.45},
	{"10m", 28, 29.7},
	{"6m", 50, 54},
	{"4m", 70, 71},
	{"2m", 144, 148},
	{"1.25m", 222, 225},
	{"70cm", 420, 450},
	{"33cm", 902, 928},
	{"23cm", 1240, 1300},
	{"13cm", 2300, 2450},
	{"9cm", 3300, 3500},
	{"6cm", 5650, 5925},
	{"3cm", 10000, 10500},
}

// BandOf returns the name of the band that holds a frequency in MHz, "" if it
// lies in none that satellites use.
func BandOf(mhz float64) string {
	for _, b := range bands {
		if mhz >= b.low && mhz <= b.high {
			return b.name
		}
	}
	return ""
}

// otherBands are the rest of the enumeration: known when read, never written.
const otherBands = "2190m 630m 560m 160m 80m 60m 40m 30m 20m 17m 12m 8m 5m 1.25cm 6mm 4mm 2.5mm 2mm 1mm submm"

func isBand(s string) bool {
	s = strings.ToLower(s)
	return slices.Contains(strings.Fields(otherBands), s) ||
		slices.ContainsFunc(bands, func(b band) bool { return b.name == s })
}

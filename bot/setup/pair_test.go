package setup

import "testing"

// Frequencies are read in any order that words, a stroke or the bands decide; else it
// is asked which is the uplink.
func TestPairs(t *testing.T) {
	for text, want := range map[string]string{
		"145.850/435.400 tone 67":                "145.850/435.400 tone 67",
		"145.850 / 435.400 67.0":                 "145.850/435.400 tone 67.0",
		"436.795 145.850 67":                     "436.795/145.850 tone 67 or turned",
		"436,795, 145,850":                       "436.795/145.850 or turned",
		"67 up 145.850 down 436.795":             "145.850/436.795 tone 67",
		"down 436.795 up 145.850":                "145.850/436.795",
		"436.795 down, 145.850 up, 67 hz":        "145.850/436.795 tone 67",
		"uplink 145.85 mhz, 436.795":             "145.85/436.795",
		"436.795 down 145.850":                   "145.850/436.795",
		"2401.5 1265.5":                          "1265.5/2401.5",
		"1265.5 2401.5":                          "1265.5/2401.5",
		"5840 5660":                              "5660/5840",
		"145.9-146/435.8-435.9 inverting":        "145.9-146/435.8-435.9 inverting",
		"435.8-435.9 145.9-146 inverting":        "435.8-435.9/145.9-146 inverting or turned",
		"145.990/145.800 no tone":                "145.990/145.800",
		"145.850/435.400 tone 9000":              "145.850/435.400 tone 9000",
		"145.990":                                "",
		"145.990 up":                             "",
		"145.990 436.800 437.1":                  "",
		"hx7abc jo33":                            "",
		"145.85/436.1 paint":                     "",
		"1e308/NaN":                              "",
		"":                                       "",
		"up down":                                "",
		"145.850 or 435.400":                     "",
		"up 145.850 down 436.795 and 437.1 436.": "",
	} {
		got := ""
		if p, err := readPair(text); err == nil {
			got = inOrder(p.set)
			if p.either {
				got += " or turned"
			}
		}
		if got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

package parse

import "testing"

// A garbled line offers the known station that is clearly nearest, and asks.
func TestNearestKnownStation(t *testing.T) {
	station := func(call, grid string) Station {
		return Station{MustParseCallsign(call), []Grid{MustParseGrid(grid)}}
	}
	known := Known{
		Heard:    []Station{station("KN4XAC", "EL98"), station("HX2ABC", "IO91")},
		Expected: []Station{station("DI6QN", "JO43")},
		Suffix: func(tail string) []Callsign {
			if tail == "MP" {
				return []Callsign{MustParseCallsign("KD9XMP")}
			}
			return nil
		},
		Prefix: func(head string) []Callsign {
			if head == "KD9X" {
				return []Callsign{MustParseCallsign("KD9XMP")}
			}
			return nil
		},
		Worked: func(c Callsign) []Grid {
			if c == MustParseCallsign("KD9XMP") {
				return []Grid{MustParseGrid("EN52")}
			}
			return nil
		},
	}
	for text, want := range map[string]string{
		"Kilo November four X-ray Alpha potato Charlie, Echo Lima 98":  "KN4XAC EL98",
		"Kilo November four X-ray potato Charlie, Echo Lima 98":        "KN4XAC EL98",
		"Delta potato six Quebec November in Juliett Oscar four three": "DI6QN JO43",
		"Delta India six Quebec potato, Juliett Oscar 4:30":            "DI6QN JO43",
		"Kilo Delta potato X-ray Mike Papa echo November 52":           "KD9XMP EN52",
		"Kilo Delta nine X-ray Mike potato echo November 52":           "KD9XMP EN52",
		"hx2ab? io91": "HX2ABC IO91",
		"Hotel X-ray two Alpha potato Charlie India Oscar nine one": "HX2ABC IO91",
	} {
		line := Read(text, known)[0]
		if line.Verdict != Ask || len(line.Contacts) != 1 {
			t.Errorf("%q: %v %+v", text, line.Verdict, line.Contacts)
			continue
		}
		if c := line.Contacts[0].Candidates; len(c) == 0 || c[0].Call.String()+" "+gridsText(c[0].Grids) != want {
			t.Errorf("%q offers %v, want %s first", text, c, want)
		}
	}
	// None is near, or two are alike.
	known.Heard = append(known.Heard, station("KN4XBC", "EL98"))
	for text, not := range map[string]string{
		"Kilo November four X-ray potato Charlie, Echo Lima 98": "KN4XAC EL98",
		"Victor Bravo two potato Quebec, Foxtrot November 25":   "DI6QN JO43",
	} {
		line := Read(text, known)[0]
		if line.Verdict != Ask {
			t.Errorf("%q: %v", text, line.Verdict)
		}
		for _, c := range line.Contacts {
			if len(c.Candidates) > 0 && c.Candidates[0].Call.String()+" "+gridsText(c.Candidates[0].Grids) == not {
				t.Errorf("%q offers %v first", text, c.Candidates)
			}
		}
	}
}

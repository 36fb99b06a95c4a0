package parse

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// authority reads a table of testdata/authorities at the top of the module:
// its rows by column name.
func authority(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "authorities", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var table []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, v := range row {
			m[rows[0][i]] = v
		}
		table = append(table, m)
	}
	return table
}

// Source: 124 invented strings classed by Article 19 of the Radio Regulations.
func TestCallsignVectors(t *testing.T) {
	for _, row := range authority(t, "reading/call_vectors.csv") {
		text, want := row["text"], row["class"]
		c, err := ParseCallsign(strings.ToLower(text))
		if got := c.Class().String(); got != want {
			t.Errorf("%s (%s): %s, want %s", text, row["reason"], got, want)
		}
		if (err == nil) != (want != "impossible") {
			t.Errorf("%s: error %v for a call that is %s", text, err, want)
		}
		if err == nil && c.String() != text {
			t.Errorf("%s prints as %s", text, c)
		}
		var se *SyntaxError
		if err != nil && (!errors.As(err, &se) || se.At > len(text) || se.Found == "" || se.Expected == "") {
			t.Errorf("%s: poor error %v", text, err)
		}
	}
}

func TestCallsignParts(t *testing.T) {
	for _, tt := range []struct{ in, base, country string }{
		{"ab1cde", "AB1CDE", "USA"},
		{"HB0/AB1CDE/P", "AB1CDE", "Switzerland"},
		{"F/AB1CDE", "AB1CDE", "France"},
		{"AB1CDE/VE3", "AB1CDE", "Canada"},
		{"AB1CDE/4/QRP", "AB1CDE", "USA"},
		{"3DA0QRX", "3DA0QRX", "Eswatini"},
		{"3DN2QX", "3DN2QX", "Fiji"},
		{"3D2QRX", "3D2QRX", "Fiji"},
		{"SSA1QX", "SSA1QX", "Egypt"},
		{"SSN1QX", "SSN1QX", "Sudan"},
		{"G9QXZ", "G9QXZ", "UK"},
		{"R5QRX", "R5QRX", "Russia"},
		{"S09QRX", "S09QRX", ""},
		{"E81QX", "E81QX", ""},
	} {
		c := MustParseCallsign(tt.in)
		if c.Base() != tt.base || c.Country() != tt.country {
			t.Errorf("%s: base %q, country %q", c, c.Base(), c.Country())
		}
	}
}

func TestCallsignErrors(t *testing.T) {
	for _, tt := range []struct {
		in string
		at int
	}{
		{"", 0},
		{"AB1CD5", 6},
		{"QA1QXZ", 0},
		{"ABCDE", 5},
		{"A1QXZ", 1},
		{"AB1CDE/B", 7},
		{"AB1CDE/P/M/A", 10},
		{"AB1 CDE", 3},
		{"AB1CDÉ", 5},
		{"X/AB1CDE", 1},
	} {
		_, err := ParseCallsign(tt.in)
		var se *SyntaxError
		if !errors.As(err, &se) || se.At != tt.at {
			t.Errorf("%q: %v, want position %d", tt.in, err, tt.at)
		}
	}
}

func TestCallsignJSON(t *testing.T) {
	type record struct {
		Call Callsign `json:"call,omitzero"`
		Grid Grid     `json:"grid,omitzero"`
		At   Clock    `json:"at,omitzero"`
	}
	for _, r := range []record{
		{},
		{Call: MustParseCallsign("hb0/ab1cde/p"), Grid: MustParseGrid("jo62qm"), At: MakeClock(17, 5)},
		{At: MakeClock(-1, 42)},
	} {
		data, err := json.Marshal(r)
		var back record
		if err != nil || json.Unmarshal(data, &back) != nil || back != r {
			t.Errorf("%s: %v, read back as %+v", data, err, back)
		}
	}
	if data, _ := json.Marshal(record{}); string(data) != "{}" {
		t.Errorf("zero values give %s", data)
	}
}

func FuzzCallsign(f *testing.F) {
	for _, s := range []string{"AB1CDE", "hb0/ab1cde/p", "3d2qrx", "Q1A", "1A0QX", "AB1CDE//P", "", "é/1", "K1X2Y"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseCallsign(s)
		if err != nil {
			var se *SyntaxError
			if !errors.As(err, &se) || se.At < 0 || se.At > len(s) {
				t.Fatalf("%q: %v", s, err)
			}
			return
		}
		if back, err := ParseCallsign(c.String()); err != nil || back != c {
			t.Fatalf("%q: %v prints as %q and reads back as %v, %v", s, c, c.String(), back, err)
		}
		if c.Class() == Impossible || c.Base() == "" {
			t.Fatalf("%q: class %v, base %q", s, c.Class(), c.Base())
		}
		_ = c.Country()
	})
}

// A grid is far from a country where it can't be a slip beside a border. The countries
// are those of the calls' series; where the places lie is common knowledge.
func TestFarFrom(t *testing.T) {
	for _, tt := range []struct{ call, grid, far string }{
		{"DI4ZAB", "JO43", ""},        // the North Sea coast
		{"DI4ZAB", "KO02", ""},        // Warsaw is not far enough
		{"DI4ZAB", "IM58", "Germany"}, // Lisbon
		{"DI4ZAB", "FN31", "Germany"}, // Connecticut
		{"OX9QZT", "GP47", ""},        // Greenland is Denmark's
		{"KL9QZT", "AL91", ""},        // so is the rest of the USA for a call of Alaska
		{"RA9QZT/P", "AP10", ""},      // Russia beyond the date line
		{"DI4ZAB/MM", "FN31", ""},
		{"FN9/DI4ZAB", "FN31", "France"},
		{"4U1ABC", "FN31", ""}, // the United Nations
	} {
		if got := MustParseCallsign(tt.call).FarFrom([]Grid{MustParseGrid(tt.grid)}); got != tt.far {
			t.Errorf("%s in %s: far from %q, want %q", tt.call, tt.grid, got, tt.far)
		}
	}
}

package predict

import (
	"errors"
	"io"
	"math"
	"os"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/google/go-cmp/cmp"
)

// Invented sets: no such satellites.
const (
	name1 = "OCHRE-1"
	line1 = "1 99101U 26901A   26244.15277431  .00016410  00000+0  29000-3 0   127"
	line2 = "2 99101  51.6400 120.2711 0006103  77.1200 283.0500 15.48881812 41233"
	set1  = name1 + "\n" + line1 + "\n" + line2 + "\n"
)

var ochre = Elements{
	Name: "OCHRE-1", Designator: "2026-901A", Catalog: 99101,
	Epoch:      time.Date(2026, 9, 1, 3, 39, 59, 700384000, time.UTC),
	MeanMotion: 15.48881812, Eccentricity: 0.0006103, InclinationDeg: 51.64, RAANDeg: 120.2711,
	ArgPerigeeDeg: 77.12, MeanAnomalyDeg: 283.05, BStar: 0.00029, NDot: 0.0001641,
}

func read(t *testing.T, text string) ([]Elements, []*InputError) {
	t.Helper()
	sets, problems, err := ReadElements(strings.NewReader(text), "f")
	if err != nil {
		t.Fatal(err)
	}
	return sets, problems
}

// changed puts s at a column of a line and mends the checksum.
func changed(line string, column int, s string) string {
	line = line[:column-1] + s + line[column-1+len(s):]
	return line[:68] + string(checksum(line))
}

func TestReadTwoLineSets(t *testing.T) {
	nameless := ochre
	nameless.Name = "99101"
	numbered := func(n int) Elements { e := ochre; e.Catalog = n; return e }
	both := func(number string) string {
		return name1 + "\n" + changed(line1, 3, number) + "\n" + changed(line2, 3, number) + "\n"
	}
	for _, tt := range []struct {
		name, text string
		want       []Elements
	}{
		{"three lines", set1, []Elements{ochre}},
		{"two lines", line1 + "\n" + line2, []Elements{nameless}},
		{"no checksums", name1 + "\n" + line1[:68] + "\n" + line2[:68], []Elements{ochre}},
		{"name behind a zero", "0 " + set1, []Elements{ochre}},
		{"CR LF", strings.ReplaceAll(set1, "\n", "\r\n"), []Elements{ochre}},
		{"CR", strings.ReplaceAll(set1, "\n", "\r"), []Elements{ochre}},
		{"mixed line ends", name1 + "\r" + line1 + "\r\n" + line2 + "\n" + set1, []Elements{ochre, ochre}},
		{"indented", "  " + name1 + "\n\t" + line1 + "\n  " + line2, []Elements{ochre}},
		{"byte order mark", "\ufeff" + set1, []Elements{ochre}},
		{"blanks at the ends", name1 + "   \n" + line1 + "  \n" + line2 + "\t\n", []Elements{ochre}},
		{"blank and comment lines", "\n# invented\n\n" + name1 + "\n\n" + line1 + "\n#\n" + line2 + "\n\n", []Elements{ochre}},
		{"letter for ten", both("A0000"), []Elements{numbered(100000)}},
		{"letter after I", both("J1234"), []Elements{numbered(181234)}},
		{"letter after O", both("P0001"), []Elements{numbered(230001)}},
		{"last letter", both("Z9999"), []Elements{numbered(339999)}},
		{"leading zeros", both("00005"), []Elements{numbered(5)}},
		{"leading blanks", both("    5"), []Elements{numbered(5)}},
		{"nothing", "", nil},
		{"nothing but a comment", "# nothing\n", nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			sets, problems := read(t, tt.text)
			if len(problems) > 0 {
				t.Error(problems)
			}
			if d := cmp.Diff(tt.want, sets); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestEpochs(t *testing.T) {
	for _, tt := range []struct {
		field string
		want  time.Time
	}{
		{"57001.00000000", time.Date(1957, 1, 1, 0, 0, 0, 0, time.UTC)},
		{"56366.50000000", time.Date(2056, 12, 31, 12, 0, 0, 0, time.UTC)},
		{"26 60.25      ", time.Date(2026, 3, 1, 6, 0, 0, 0, time.UTC)},
		{"00060.00000001", time.Date(2000, 2, 29, 0, 0, 0, 864000, time.UTC)},
		{"26365.99999999", time.Date(2026, 12, 31, 23, 59, 59, 999136000, time.UTC)},
	} {
		sets, problems := read(t, changed(line1, 19, tt.field)+"\n"+line2)
		if len(problems) > 0 || !sets[0].Epoch.Equal(tt.want) {
			t.Errorf("%s: %v %v, want %v", tt.field, sets, problems, tt.want)
		}
	}
}

func TestReadTwoLineProblems(t *testing.T) {
	for _, tt := range []struct{ name, text, want string }{
		{"checksum", name1 + "\n" + line1[:68] + "8\n" + line2, `f:2:69: found "8", expected checksum 7`},
		{"short line", line1[:50] + "\n" + line2, "f:1:51: found nothing, expected 68 or 69 columns, the line has 50"},
		{"long line", line1 + "  0\n" + line2, `f:1:70: found "  0", expected the end of the line`},
		{"no second line", line1 + "\n", "f:1:1: found \"" + line1[:40] + "…\", expected line 2"},
		{"no first line", line2, "f:1:1: found \"" + line2[:40] + "…\", expected line 1"},
		{"a name alone", "CELADON\n" + set1, `f:1:1: found "CELADON", expected a set's two lines`},
		{"a name with half a set", "CELADON\n" + line1 + "\nUMBER\n" + line1 + "\n" + line2, "f:2:1: found"},
		{"a name at the end", set1 + "CELADON\n", `f:4:1: found "CELADON", expected a set's two lines`},
		{"two first lines", line1 + "\n" + line1 + "\n" + line2, "f:1:1: found"},
		{"other satellite", line1 + "\n" + changed(line2, 3, "99102"), `f:2:3: found "99102", expected catalog number 99101, as in line 1`},
		{"letters in the number", changed(line1, 3, "99A01") + "\n" + line2, `f:1:3: found "99A01", expected a catalog number of five digits, or a letter and four`},
		{"letter I", changed(line1, 3, "I0001") + "\n" + line2, `f:1:3: found "I0001", expected a catalog number`},
		{"blank in the number", changed(line1, 3, "99 01") + "\n" + line2, `f:1:3: found "99 01"`},
		{"blank after the letter", changed(line1, 3, "A 001") + "\n" + line2, `f:1:3: found "A 001"`},
		{"number zero", changed(line1, 3, "00000") + "\n" + line2, `f:1:3: found "00000", expected a catalog number`},
		{"day 0", changed(line1, 21, "000.15277431") + "\n" + line2, `f:1:21: found "000.15277431", expected day of the year from 1 to 365`},
		{"day 366 of a common year", changed(line1, 21, "366") + "\n" + line2, `expected day of the year from 1 to 365`},
		{"comma in the day", changed(line1, 24, ",") + "\n" + line2, `f:1:21: found "244,15277431"`},
		{"blank in the year", changed(line1, 19, " 6") + "\n" + line2, `f:1:19: found " 6", expected two digits of the year`},
		{"underscore in the drag", changed(line1, 55, "2_000") + "\n" + line2, `f:1:54: found " 2_000-3", expected drag`},
		{"nan", line1 + "\n" + changed(line2, 9, "     nan"), `f:2:14: found "nan", expected inclination: a decimal number`},
		{"type 4", changed(line1, 63, "4") + "\n" + line2, `f:1:63: found "4", expected element type 0`},
		{"hexadecimal", line1 + "\n" + changed(line2, 9, " 0x1p3  "), `f:2:10: found "0x1p3", expected inclination: a decimal number`},
		{"infinite", line1 + "\n" + changed(line2, 53, "        Inf"), `f:2:61: found "Inf", expected mean motion: a decimal number`},
		{"underscore", line1 + "\n" + changed(line2, 9, " 5_1.641"), `f:2:10: found "5_1.641", expected inclination`},
		{"blank inside", line1 + "\n" + changed(line2, 9, " 5 1.641"), `f:2:10: found "5 1.641", expected inclination`},
		{"steep", line1 + "\n" + changed(line2, 9, "181.0000"), `f:2:9: found "181.0000", expected inclination: a number from 0 to 180`},
		{"eccentricity with a point", line1 + "\n" + changed(line2, 27, ".000610"), `f:2:27: found ".000610", expected seven digits`},
		{"eccentricity blank", line1 + "\n" + changed(line2, 27, "       "), `f:2:27: found blanks, expected seven digits`},
		{"too fast", line1 + "\n" + changed(line2, 53, "20.48881812"), `f:2:53: found "20.48881812", expected mean motion: a number from 0 to 20`},
		{"shifted by one", line1 + "\n" + (line2[:9] + " " + line2[9:])[:69], "f:2:"},
		{"not ASCII", strings.Replace(line1, "U", "Ü", 1)[:69] + "\n" + line2, `f:1:8: found`},
		{"tab", strings.Replace(line1, " ", "\t", 1) + "\n" + line2, `f:1:2: found blanks, expected plain ASCII`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, problems := read(t, tt.text)
			if len(problems) == 0 || !strings.Contains(problems[0].Error(), tt.want) {
				t.Errorf("got %v\nwant %s", problems, tt.want)
			}
			good, _ := read(t, tt.text+"\n"+set1)
			if len(good) == 0 || good[len(good)-1].Name != ochre.Name {
				t.Errorf("a good set after it is lost: %v", good)
			}
		})
	}
}

// The same six invented satellites as two-line sets, JSON and CSV.
func TestFormsAgree(t *testing.T) {
	want := readSets(t, passTables+"sats.tle")
	for _, name := range []string{"sats_omm.json", "sats_omm.csv"} {
		got := readSets(t, passTables+name)
		for i := range want {
			if got[i].Epoch != want[i].Epoch {
				t.Errorf("%s: %v, want %v", name, got[i].Epoch, want[i].Epoch)
			}
		}
		near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(1, math.Abs(a)) })
		if d := cmp.Diff(want, got, near); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
	sets := [2][]Elements{}
	for i, name := range []string{"sample_omm.csv", "sample_omm.xml"} {
		sets[i] = readSets(t, "testdata/"+name)
	}
	if d := cmp.Diff(sets[0], sets[1]); d != "" {
		t.Error(d)
	}
	if e := sets[0][0]; e.Catalog != 5 || e.BStar != -0.22483e-4 || e.Eccentricity != 0.1845686 || e.Name != "OBJECT 5" {
		t.Errorf("%+v", e)
	}
}

const kvn = `CCSDS_OMM_VERS = 3.0
COMMENT invented
CREATION_DATE  = 2026-09-01T05:00:00
ORIGINATOR     = NOBODY
OBJECT_NAME    = OCHRE-1
OBJECT_ID      = 2026-901A
CENTER_NAME    = EARTH
REF_FRAME      = TEME
TIME_SYSTEM    = UTC
MEAN_ELEMENT_THEORY = SGP4
EPOCH          = 2026-09-01T03:39:59.700384Z
MEAN_MOTION    = 15.48881812 [rev/day]
ECCENTRICITY   = .0006103
INCLINATION    = 51.64 [deg]
RA_OF_ASC_NODE = 120.2711 [deg]
ARG_OF_PERICENTER = 77.12 [deg]
MEAN_ANOMALY   = +283.05 [deg]
EPHEMERIS_TYPE = 0
NORAD_CAT_ID   = 99101
BSTAR          = 29.E-5 [1/ER]
MEAN_MOTION_DOT  = 1.641E-04 [rev/day**2]
MEAN_MOTION_DDOT = 0.0 [rev/day**3]
USER_DEFINED_COLOUR = ochre
`

const jsonSet = `{"OBJECT_NAME":"OCHRE-1","OBJECT_ID":"2026-901A","EPOCH":"2026-09-01T03:39:59.700384","MEAN_MOTION":"15.48881812",
"ECCENTRICITY":0.0006103,"INCLINATION":51.64,"RA_OF_ASC_NODE":120.2711,"ARG_OF_PERICENTER":77.12,"MEAN_ANOMALY":283.05,
"NORAD_CAT_ID":99101,"BSTAR":0.00029,"MEAN_MOTION_DOT":1.641e-4,"MORE":{"a":[1,{"b":2}]},"GONE":null}`

func TestMessageForms(t *testing.T) {
	nine := ochre
	nine.Catalog = 123456789
	leap := ochre
	leap.Epoch = utc(2026, time.December, 31, 23, 59, 59).Add(time.Second / 2)
	for _, tt := range []struct {
		name, text string
		want       []Elements
	}{
		{"key value", kvn, []Elements{ochre}},
		{"key value twice", kvn + "\n" + kvn, []Elements{ochre, ochre}},
		{"key value without heads", strings.Repeat(kvn[strings.Index(kvn, "OBJECT_NAME"):], 2), []Elements{ochre, ochre}},
		{"comment first", "COMMENT x\n" + kvn, []Elements{ochre}},
		{"lower theory", strings.Replace(kvn, "= SGP4", "= sgp4", 1), []Elements{ochre}},
		{"nine digits", strings.Replace(kvn, "99101", "123456789", 1), []Elements{nine}},
		{"one object", jsonSet, []Elements{ochre}},
		{"leap second", strings.Replace(jsonSet, "2026-09-01T03:39:59.700384", "2026-12-31T23:59:60.5", 1), []Elements{leap}},
		{"array", "\ufeff [" + jsonSet + ",\r\n" + jsonSet + "]\n", []Elements{ochre, ochre}},
		{"empty array", "[]", nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			sets, problems := read(t, tt.text)
			if len(problems) > 0 {
				t.Error(problems)
			}
			if d := cmp.Diff(tt.want, sets); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestMessageProblems(t *testing.T) {
	csvText, err := os.ReadFile(passTables + "sats_omm.csv")
	if err != nil {
		t.Fatal(err)
	}
	replaced := func(s, from, to string) string {
		if !strings.Contains(s, from) {
			t.Fatal(from)
		}
		return strings.Replace(s, from, to, 1)
	}
	for _, tt := range []struct {
		name, text, want string
		sets             int
	}{
		{"other theory", replaced(kvn, "= SGP4", "= SDP4"), `f:10:23: found "SDP4", expected MEAN_ELEMENT_THEORY SGP4`, 0},
		{"other frame", replaced(kvn, "TEME", "GCRF"), `f:8:18: found "GCRF", expected REF_FRAME TEME`, 0},
		{"other time", replaced(kvn, "UTC", "TAI"), `expected TIME_SYSTEM UTC`, 0},
		{"type 4", replaced(kvn, "EPHEMERIS_TYPE = 0", "EPHEMERIS_TYPE = 4"), `f:18:18: found "4", expected EPHEMERIS_TYPE 0`, 0},
		{"no drag", replaced(kvn, "BSTAR", "BETA"), "f:1:1: found a set without BSTAR, expected BSTAR", 0},
		{"no equals sign", replaced(kvn, "ECCENTRICITY   =", "ECCENTRICITY"), `expected KEY = VALUE`, 0},
		{"number", replaced(jsonSet, "51.64", `"51,64"`), `f:2:40: found "51,64", expected INCLINATION: a decimal number`, 0},
		{"null", replaced(jsonSet, "51.64", "null"), `f:2:40: found nothing, expected INCLINATION`, 0},
		{"ten digits", replaced(jsonSet, "99101", "1234567890"), `expected catalog number: a whole number from 1 to 999999999`, 0},
		{"time with zone", replaced(jsonSet, "59.700384", "59.7+02:00"), "expected EPOCH: a time in UTC", 0},
		{"30 February", replaced(jsonSet, "2026-09-01", "2026-02-30"), "expected EPOCH: a time in UTC", 0},
		{"year of a typo", replaced(jsonSet, "2026-09-01", "0026-09-01"), "expected EPOCH: a time in UTC", 0},
		{"cut", "[" + jsonSet + ",", "f:3:", 1},
		{"cut in a set", "[" + jsonSet + "," + jsonSet[:80], "found the end of the text, expected well-formed JSON", 1},
		{"broken", "[" + jsonSet + ",\n{x", "f:4:1: found", 1},
		{"no objects", `[1,"two"]`, `f:1:2: found "1", expected an object`, 0},
		{"field missing", replaced(string(csvText), "SIENNA,", ""), "f:5:1: found 20 fields, expected 21", 5},
		{"stray quote", replaced(string(csvText), "SIENNA", `SIEN"NA`), "f:5:5: found a quotation mark out of place", 5},
		{"error page", "<html><body>busy</body></html>", `f:1:1: found "html", expected elements named omm`, 0},
		{"cut XML", "<ndm><omm><OBJECT_NAME>X", "expected well-formed XML", 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			sets, problems := read(t, tt.text)
			if len(problems) == 0 || !strings.Contains(problems[0].Error(), tt.want) {
				t.Errorf("got %v\nwant %s", problems, tt.want)
			}
			if len(sets) != tt.sets {
				t.Errorf("%d sets, want %d", len(sets), tt.sets)
			}
		})
	}
}

func TestReaderFails(t *testing.T) {
	broken := errors.New("broken")
	if _, _, err := ReadElements(iotest.ErrReader(broken), "f"); !errors.Is(err, broken) {
		t.Error(err)
	}
	endless := io.MultiReader(strings.NewReader(set1), iotest.OneByteReader(strings.NewReader("x")))
	if sets, _, err := ReadElements(endless, "f"); err != nil || len(sets) != 1 {
		t.Error(sets, err)
	}
}

func TestNewest(t *testing.T) {
	at := func(name string, catalog, hours int) Elements {
		return Elements{Name: name, Catalog: catalog, Epoch: ochre.Epoch.Add(time.Duration(hours) * time.Hour)}
	}
	got := Newest([]Elements{at("a", 1, 0), at("b", 2, 5), at("c", 1, 3), at("d", 1, 2), at("e", 2, 5), at("f", 2, 4)})
	if d := cmp.Diff([]Elements{at("c", 1, 3), at("e", 2, 5)}, got); d != "" {
		t.Error(d)
	}
}

func TestAge(t *testing.T) {
	for _, d := range []time.Duration{0, time.Hour, -time.Hour} {
		if got := ochre.Age(ochre.Epoch.Add(d)); got != d.Abs() {
			t.Errorf("%v: %v", d, got)
		}
	}
}

// FuzzReadElements: no input makes it panic or end the process; every problem
// points into the text; whatever is accepted can be propagated or is refused
// with a reason.
func FuzzReadElements(f *testing.F) {
	f.Add(set1)
	f.Add(line1 + "\r\n" + line2)
	f.Add(kvn)
	f.Add(jsonSet)
	for _, name := range []string{"testdata/sample_omm.csv", "testdata/sample_omm.xml", passTables + "sats_omm.json", verification + "SGP4-VER.TLE"} {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		sets, problems, err := ReadElements(strings.NewReader(text), "f")
		if err != nil {
			t.Fatal(err)
		}
		for _, problem := range problems {
			inside(t, text, problem)
		}
		for _, e := range sets[:min(len(sets), 3)] {
			sane(t, e)
		}
	})
}

func sane(t *testing.T, e Elements) {
	t.Helper()
	if e.Name == "" || e.Catalog < 1 || e.Catalog > maxCatalog || e.Epoch.Nanosecond()%1000 != 0 {
		t.Errorf("accepted %+v", e)
	}
	p, err := NewEphemeris(e, e.Epoch, e.Epoch.Add(time.Minute))
	var refusal *Refusal
	if err != nil {
		if !errors.As(err, &refusal) || refusal.Detail == "" || refusal.Reason == "" {
			t.Errorf("%v for %+v", err, e)
		}
		return
	}
	if l := p.Look(Site{LatDeg: 50}, e.Epoch); !(l.RangeKm > 0) || !(l.AzDeg >= 0 && l.AzDeg <= 360) {
		t.Errorf("%+v from %+v", l, e)
	}
}

// A text that is no elements is given up, whatever form it seems to have.
func TestTooManyProblems(t *testing.T) {
	const many = 3 * mostProblems
	for form, text := range map[string]string{
		"lines":  strings.Repeat("nothing of use\n", many),
		"JSON":   "[" + strings.Repeat(`{"EPOCH":"x"},`, many) + "1]",
		"values": "[" + strings.Repeat("1,", many) + "1]",
		"CSV":    "EPOCH,MEAN_MOTION\n" + strings.Repeat("x,y\n", many) + strings.Repeat("\"\n", many),
		"keys":   "EPOCH = x\n" + strings.Repeat("nothing of use\n", many),
		"XML":    "<ndm>" + strings.Repeat("<omm><EPOCH>x</EPOCH></omm>", many) + "</ndm>",
	} {
		sets, problems := read(t, text)
		if len(sets) != 0 || len(problems) != mostProblems {
			t.Errorf("%s: %d sets, %d problems", form, len(sets), len(problems))
			continue
		}
		if last := problems[mostProblems-1].Error(); !strings.HasSuffix(last, "after 1000 mistakes the rest was not read") {
			t.Errorf("%s: the last is %s", form, last)
		}
	}
}

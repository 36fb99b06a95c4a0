package predict

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func TestStarterBirds(t *testing.T) {
	birds := StarterBirds()
	var on, names []string
	for _, b := range birds {
		names = append(names, b.Name)
		if b.Status.On {
			on = append(on, b.Name)
		}
		if b.Source != "from memory, check before you transmit" || b.Status.Source == "" || b.Status.Text == "" {
			t.Errorf("%s: no source or status: %+v", b.Name, b)
		}
		for _, tr := range b.Transponders {
			if tr.Source == "" {
				t.Errorf("%s: a row without source", b.Name)
			}
		}
		if b.Main().Kind == 0 {
			t.Errorf("%s: nothing to make contacts with", b.Name)
		}
	}
	if d := cmp.Diff("ISS IO-86 PO-101 AO-123 SO-124 SO-125 RS-44 FO-29 JO-97", strings.Join(names, " ")); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff("ISS AO-123 SO-124 SO-125", strings.Join(on, " ")); d != "" {
		t.Error(d)
	}
	want := Bird{
		Name: "RS-44", LogName: "RS-44", Aliases: []string{"RS44", "DOSAAF-85"}, Catalog: 44909,
		Status: Status{Text: "normally on", Date: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), Source: "from memory"},
		Source: "from memory, check before you transmit",
		Transponders: []Transponder{
			{
				Kind: Linear, UplinkMHz: 145.965, DownlinkMHz: 435.64, UplinkWidthKHz: 60, DownlinkWidthKHz: 60,
				Inverting: true, Mode: "SSB", Source: "from memory, check before you transmit",
			},
			{Kind: Beacon, DownlinkMHz: 435.605, Mode: "CW", Source: "from memory, check before you transmit"},
		},
	}
	if d := cmp.Diff(want, birds[6]); d != "" {
		t.Error(d)
	}
}

func TestReadBirdsErrors(t *testing.T) {
	const head = "bird,catalog,kind,mode,uplink_mhz,downlink_mhz,way,tone_hz,on,status_date\n"
	for _, tt := range []struct{ name, text, want string }{
		{"empty", "", "f:1:1: found nothing, expected a line of column names"},
		{"comment alone", "# no birds\n", "f:1:1: found nothing, expected a line of column names"},
		{"strange column", "bird,weight\n", `f:1:6: found "weight", expected each column once, of: bird,`},
		{"column missing", "bird,catalog\n", "f:1:1: found nothing, expected a column named kind"},
		{"fields missing", head + "X,1\n", "f:2:1: found 2 fields, expected 10"},
		{"stray quote", head + "X\"Y,1\n", "f:2:2: found a quotation mark out of place"},
		{"quote left open", head + "\"X,1\nY,2\n", "f:2:1: found a row with a quotation mark left open"},
		{"kind", head + "X,1,Fm,FM,145.9,436.7,,,,\n", `f:2:5: found "Fm", expected FM, linear or beacon`},
		{"mode", head + "X,1,FM,fm,145.9,436.7,,,,\n", `f:2:8: found "fm", expected a mode in capitals`},
		{"comma decimal", head + "X,1,FM,FM,\"145,9\",436.7,,,,\n", `f:2:11: found "145,9", expected a frequency`},
		{"no uplink", head + "X,1,FM,FM,,436.7,,,,\n", "f:2:11: found nothing, expected a frequency in MHz"},
		{"beacon that hears", head + "X,1,beacon,CW,145.9,436.7,,,,\n", `f:2:15: found "145.9", expected nothing`},
		{"passband upside down", head + "X,1,linear,SSB,145.9-145.8,436.7-436.8,,,,\n", `f:2:22: found "145.8", expected the upper edge`},
		{"uneven passbands", head + "X,1,linear,SSB,145.8-145.9,436.7-436.9,,,,\n", "expected a passband as wide as the uplink's"},
		{"tone", head + "X,1,FM,FM,145.9,436.7,,6.7,,\n", `f:2:24: found "6.7", expected a tone in Hz`},
		{"on", head + "X,1,FM,FM,145.9,436.7,,,maybe,\n", `f:2:25: found "maybe", expected yes, no or nothing`},
		{"date", head + "X,1,FM,FM,145.9,436.7,,,,24.12.\n", `found "24.12.", expected a date`},
		{"catalog", head + "X,0,FM,FM,145.9,436.7,,,,\n", `f:2:3: found "0", expected catalog number: a whole number from 1 to 999999999`},
		{"no name", head + ",1,FM,FM,145.9,436.7,,,,\n", "f:2:1: found nothing, expected the name of a bird"},
		{"rows apart", head + "X,1,FM,FM,1,2,,,,\nY,2,FM,FM,1,2,,,,\nx,1,FM,FM,1,2,,,,\n", `f:4:1: found "x", expected the rows of X together`},
		{"another number", head + "X,1,FM,FM,1,2,,,,\nX,2,FM,FM,1,2,,,,\n", `f:3:3: found "2", expected 1, as in the row before`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ReadBirds(strings.NewReader(tt.text), "f")
			var problem *InputError
			if !errors.As(err, &problem) || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v\nwant %s", err, tt.want)
			}
		})
	}
}

func TestReadBirdsExtended(t *testing.T) {
	text := "\ufeffcatalog,bird,alias,kind,mode,uplink_mhz,downlink_mhz,tone_hz,arm_tone_hz\r" +
		"# a line of comment, all three line ends in one text\r\n" +
		"987654321,\"MOTH, 3\",moth; M3 ,FM,FM,145.9,436.7,141.3,74.4\r\n"
	birds, err := ReadBirds(strings.NewReader(text), "f")
	if err != nil {
		t.Fatal(err)
	}
	want := []Bird{{
		Name: "MOTH, 3", LogName: "MOTH, 3", Aliases: []string{"moth", "M3"}, Catalog: 987654321,
		Transponders: []Transponder{{Kind: FM, UplinkMHz: 145.9, DownlinkMHz: 436.7, Mode: "FM", ToneHz: 141.3, ArmToneHz: 74.4}},
	}}
	if d := cmp.Diff(want, birds); d != "" {
		t.Error(d)
	}
}

// FuzzReadBirds: no input makes it panic; an error's position lies inside the
// text; what is accepted can be used.
func FuzzReadBirds(f *testing.F) {
	f.Add(starterList)
	f.Add("bird,catalog,kind,mode,uplink_mhz,downlink_mhz\n\"X\ny\",1,linear,SSB,1-2,2-3\n")
	f.Add("bird,catalog,kind,mode,uplink_mhz,downlink_mhz\nX,1,FM,FM,1e308,2\n\"")
	f.Add("\ufeff\"bird\rcatalog")
	f.Fuzz(func(t *testing.T, text string) {
		birds, err := ReadBirds(strings.NewReader(text), "f")
		if err != nil {
			inside(t, text, err)
		}
		for _, b := range birds {
			if b.Name == "" || b.LogName == "" || b.Catalog < 1 || len(b.Transponders) == 0 {
				t.Errorf("accepted %+v", b)
			}
			for _, tr := range b.Transponders {
				if tr.Kind == 0 || !(tr.DownlinkMHz >= 1) || math.IsInf(tr.UplinkMHz, 0) || tr.UplinkWidthKHz < 0 {
					t.Errorf("accepted %+v", tr)
				}
			}
		}
	})
}

// inside checks that an error points into the text: at a line it has and a
// column in it, or just behind it.
func inside(t *testing.T, text string, err error) {
	t.Helper()
	var problem *InputError
	if !errors.As(err, &problem) {
		t.Fatalf("%T: %v", err, err)
	}
	in, err := readInput(strings.NewReader(text), "f")
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Split(in.text, "\n")
	if problem.Line < 1 || problem.Line > len(all)+1 || problem.Column < 1 {
		t.Fatalf("line %d of %d: %v", problem.Line, len(all), problem)
	}
	width := 0
	if problem.Line <= len(all) {
		width = len(all[problem.Line-1])
	}
	if problem.Column > width+2 {
		t.Fatalf("column %d of %d: %v", problem.Column, width, problem)
	}
	if problem.Found == "" || problem.Expected == "" {
		t.Fatalf("says nothing: %+v", problem)
	}
}

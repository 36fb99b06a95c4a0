// Package predicttest is the invented sky of the reference predictions, for tests:
// elements that are computed by others too, and radios that nobody flies.
package predicttest

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"testing"
	"time"

	"skyslate/predict"
)

// open opens a file of the reference predictions, from whichever package is tested.
func open(t testing.TB, name string) *os.File {
	t.Helper()
	for root := ".."; len(root) < len("../../../../.."); root = filepath.Join(root, "..") {
		if f, err := os.Open(filepath.Join(root, "testdata", "authorities", "passes", name)); err == nil {
			t.Cleanup(func() { f.Close() })
			return f
		}
	}
	t.Fatalf("no %s above this package", name)
	return nil
}

// Sets are the elements of the invented satellites.
func Sets(t testing.TB) []predict.Elements {
	t.Helper()
	sets, problems, err := predict.ReadElements(open(t, "sats.tle"), "sats.tle")
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	return sets
}

// Rows are the rows of a table of the reference predictions, by column.
func Rows(t testing.TB, name string) []map[string]string {
	t.Helper()
	all, err := csv.NewReader(open(t, name)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range all[1:] {
		row := map[string]string{}
		for i, field := range record {
			row[all[0][i]] = field
		}
		rows = append(rows, row)
	}
	return rows
}

// Birds gives the invented satellites invented radios, one of each kind
// that texts tell apart.
func Birds() []predict.Bird {
	seen := time.Date(2026, 8, 20, 0, 0, 0, 0, time.UTC)
	return []predict.Bird{
		{
			Name: "OCHRE-1", LogName: "OC-1", Aliases: []string{"Ochre One"}, Catalog: 99101,
			Status:       predict.Status{Text: "on, except for a week in winter", On: true, Date: seen, Source: "an invented bulletin"},
			Transponders: []predict.Transponder{{Kind: predict.FM, UplinkMHz: 145.99, DownlinkMHz: 436.8, Mode: "FM", ToneHz: 67}},
			Notes:        "Invented for tests.", Source: "invented",
		},
		{
			Name: "OCHRE-2", LogName: "OCHRE-2", Catalog: 99102, Status: predict.Status{On: true},
			Transponders: []predict.Transponder{{Kind: predict.FM, UplinkMHz: 435.2508, DownlinkMHz: 145.8666, Mode: "FM"}},
		},
		{
			Name: "UMBER-A", LogName: "UMBER-A", Catalog: 99113, Status: predict.Status{Text: "on in sunlight"},
			Transponders: []predict.Transponder{
				{Kind: predict.Beacon, DownlinkMHz: 435.605, Mode: "CW"},
				{
					Kind: predict.Linear, UplinkMHz: 145.965, UplinkWidthKHz: 60, DownlinkMHz: 435.64, DownlinkWidthKHz: 60,
					Inverting: true, Mode: "SSB",
				},
			},
		},
		{
			Name: "SIENNA", LogName: "SIENNA", Catalog: 99127, Status: predict.Status{On: true},
			Transponders: []predict.Transponder{{Kind: predict.FM, UplinkMHz: 145.825, DownlinkMHz: 145.925, Mode: "FM", ToneHz: 141.3, ArmToneHz: 74.4}},
		},
		{
			Name: "CELADON", LogName: "CELADON", Catalog: 99134, Status: predict.Status{On: true},
			Transponders: []predict.Transponder{{Kind: predict.FM, UplinkMHz: 435.1, DownlinkMHz: 436.4, Mode: "FM", ToneHz: 88.5}},
		},
		{
			Name: "PERSE-5", LogName: "PERSE-5", Catalog: 99188, Status: predict.Status{On: true},
			Transponders: []predict.Transponder{{Kind: predict.FM, UplinkMHz: 1267.4, DownlinkMHz: 2401.5, Mode: "FM"}},
		},
	}
}

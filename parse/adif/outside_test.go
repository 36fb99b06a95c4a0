package adif_test

import (
	"io"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"skyslate/parse/adif"
)

// What was given to the programs that wrote the files of testdata/outside. One
// of them turns enumeration values into upper case, so values are compared so.
var outside = []map[string]string{
	{
		"CALL": "XG1VV", "BAND": "2m", "BAND_RX": "70cm", "FREQ": "145.990", "FREQ_RX": "436.795", "MODE": "FM",
		"PROP_MODE": "SAT", "SAT_NAME": "OCHRE-1", "QSO_DATE": "20260901", "TIME_ON": "113807",
		"STATION_CALLSIGN": "OX9QZT/P", "GRIDSQUARE": "JO33", "MY_GRIDSQUARE": "JO62qm",
	},
	{
		"CALL": "VJ2FQXZ", "BAND": "2m", "BAND_RX": "10m", "FREQ": "145.9525", "FREQ_RX": "29.4525", "MODE": "SSB",
		"PROP_MODE": "SAT", "SAT_NAME": "UMBER-A", "QSO_DATE": "20260901", "TIME_ON": "2359",
		"STATION_CALLSIGN": "OX9QZT/P", "VUCC_GRIDS": "JO33,JO43", "MY_VUCC_GRIDS": "JO62,JO63,JO52,JO53",
		"NAME": "Zoe <of> two", "RST_RCVD": "59", "NOTES": "one\r\ntwo",
	},
}

func TestReadsWhatOthersWrite(t *testing.T) {
	for _, name := range []string{"tcadif.adi", "adif-parser-ts.adi"} {
		t.Run(name, func(t *testing.T) {
			f, err := os.Open("testdata/outside/" + name)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			r := adif.NewReader(f)
			for _, want := range outside {
				rec, err := r.Read()
				if err != nil {
					t.Fatal(err)
				}
				checkOutside(t, rec, want)
			}
			if _, err := r.Read(); err != io.EOF {
				t.Errorf("at the end: %v", err)
			}
		})
	}
}

func checkOutside(t *testing.T, rec adif.Record, want map[string]string) {
	t.Helper()
	got := make(map[string]string)
	for _, f := range rec {
		got[f.Name] = strings.ToUpper(f.Value)
		if err := adif.Check(f); err != nil {
			t.Error(err)
		}
	}
	upper := make(map[string]string)
	for name, value := range want {
		upper[name] = strings.ToUpper(value)
	}
	if diff := cmp.Diff(upper, got); diff != "" {
		t.Error(diff)
	}
}

package adif_test

import (
	"strings"
	"testing"

	"skyslate/parse/adif"
)

func TestCheck(t *testing.T) {
	good := []adif.Field{
		{Name: "QSO_DATE", Value: "20240229"},
		{Name: "time_on", Value: "235959"},
		{Name: "TIME_OFF", Value: "0000"},
		{Name: "FREQ", Value: "435.25"},
		{Name: "FREQ_RX", Value: "145."},
		{Name: "BAND", Value: "70CM"},
		{Name: "BAND", Value: "160m"},
		{Name: "GRIDSQUARE", Value: "jo62qm"},
		{Name: "GRIDSQUARE", Value: "JO62QM33"},
		{Name: "VUCC_GRIDS", Value: "JO62,JO63"},
		{Name: "MY_VUCC_GRIDS", Value: "JO62ax,JO63aa,JO52xx,JO53xa"},
		{Name: "QSO_COMPLETE", Value: "nil"},
		{Name: "NOTES", Value: "one\r\ntwo"},
		{Name: "SAT_NAME", Value: "OCHRE-1"},
	}
	for _, f := range good {
		if err := adif.Check(f); err != nil {
			t.Error(err)
		}
	}
	bad := []adif.Field{
		{Name: "QSO_DATE", Value: "20260229"},
		{Name: "QSO_DATE", Value: "2026-09-01"},
		{Name: "QSO_DATE", Value: "19291231"},
		{Name: "TIME_ON", Value: "2400"},
		{Name: "TIME_ON", Value: "123"},
		{Name: "TIME_ON", Value: "12:34"},
		{Name: "FREQ", Value: "435,25"},
		{Name: "FREQ", Value: "4.3525e2"},
		{Name: "FREQ", Value: "+435"},
		{Name: "FREQ", Value: "."},
		{Name: "BAND", Value: "70 cm"},
		{Name: "BAND_RX", Value: ""},
		{Name: "GRIDSQUARE", Value: "JO62QM,JO63"},
		{Name: "GRIDSQUARE", Value: "JO6"},
		{Name: "GRIDSQUARE", Value: "SO62"},
		{Name: "GRIDSQUARE", Value: "JO62QY"},
		{Name: "GRIDSQUARE", Value: "JO62QM33QM"},
		{Name: "VUCC_GRIDS", Value: "JO62"},
		{Name: "VUCC_GRIDS", Value: "JO62,JO63,JO64"},
		{Name: "VUCC_GRIDS", Value: "JO62, JO63"},
		{Name: "VUCC_GRIDS", Value: "JO,JN"},
		{Name: "QSO_COMPLETE", Value: "maybe"},
		{Name: "COMMENT", Value: "one\r\ntwo"},
		{Name: "NAME", Value: "Zoë"},
	}
	for _, f := range bad {
		err := adif.Check(f)
		if err == nil {
			t.Errorf("%s %q was taken", f.Name, f.Value)
			continue
		}
		if !strings.HasPrefix(err.Error(), f.Name) {
			t.Errorf("%v does not name %s", err, f.Name)
		}
	}
}

// The limits are those of the Band enumeration, ADIF 3.1.7 section III.B.
func TestBandOf(t *testing.T) {
	tests := []struct {
		mhz  float64
		want string
	}{
		{0, ""},
		{21.2, "15m"},
		{29.4, "10m"},
		{143.999, ""},
		{144, "2m"},
		{145.8, "2m"},
		{148, "2m"},
		{148.001, ""},
		{435.25, "70cm"},
		{1267, "23cm"},
		{2400.1, "13cm"},
		{10489.5, "3cm"},
		{24000, ""},
	}
	for _, tt := range tests {
		if got := adif.BandOf(tt.mhz); got != tt.want {
			t.Errorf("BandOf(%g) = %q, want %q", tt.mhz, got, tt.want)
		}
	}
}

package predict_test

import (
	"testing"

	"skyslate/predict"
)

func TestStated(t *testing.T) {
	linear := predict.Transponder{
		Kind: predict.Linear, UplinkMHz: 145.965, UplinkWidthKHz: 60, DownlinkMHz: 435.640, DownlinkWidthKHz: 60,
	}
	for _, tt := range []struct {
		text string
		mhz  float64
		side predict.Side
	}{
		{"di4zab jo43 435.640", 435.64, predict.Receive},
		{"435,6405 di4zab jo43", 435.6405, predict.Receive},
		{"di4zab jo43 145.94 usb", 145.94, predict.Transmit},
		{"17.42 435.640 di4zab jo43", 435.64, predict.Receive}, // behind a time
		{"di4zab jo43 on 435.640.", 435.64, predict.Receive},   // at the end of a sentence
		{"di4zab jo43 435.680", 435.68, predict.Receive},       // by Doppler
		{"di4zab jo43 435.7", 0, 0},
		{"di4zab jo43 59", 0, 0},
		{"di4zab jo43 435", 0, 0},
		{"1435.640", 0, 0},
		{"435.640.1", 0, 0},
	} {
		mhz, side, ok := linear.Stated(tt.text)
		if mhz != tt.mhz || side != tt.side || ok != (tt.mhz != 0) {
			t.Errorf("%q: %v, %v, %v", tt.text, mhz, side, ok)
		}
	}
	if _, _, ok := (predict.Transponder{Kind: predict.FM, DownlinkMHz: 436.8}).Stated("di4zab 436.800"); ok {
		t.Error("an FM channel has no dial to state")
	}
}

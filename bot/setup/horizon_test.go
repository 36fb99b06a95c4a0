package setup

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"skyslate/storage"
)

func TestParseHorizon(t *testing.T) {
	for _, tt := range []struct {
		text string
		want []storage.Hidden // nil: refused
	}{
		{"10", []storage.Hidden{{ToDeg: 360, ElDeg: 10}}},
		{"12.5°", []storage.Hidden{{ToDeg: 360, ElDeg: 12.5}}},
		{"270-330 25", []storage.Hidden{{FromDeg: 270, ToDeg: 330, ElDeg: 25}}},
		{"330-20 25, 5", []storage.Hidden{{FromDeg: 330, ToDeg: 20, ElDeg: 25}, {ToDeg: 360, ElDeg: 5}}},
		{"10\n20-60 15", []storage.Hidden{{ToDeg: 360, ElDeg: 10}, {FromDeg: 20, ToDeg: 60, ElDeg: 15}}},
		{"", nil},
		{",", nil},
		{"90", nil},
		{"-5", nil},
		{"x", nil},
		{"270-361 25", nil},
		{"90-90 25", nil},
		{"270 330 25", nil},
		{"270-330", nil},
		{"1,2,3,4,5,6,7,8,9", nil},
	} {
		got, err := parseHorizon(tt.text)
		if diff := cmp.Diff(tt.want, got); diff != "" || (err != nil) != (tt.want == nil) {
			t.Errorf("%q: %v (-want +got):\n%s", tt.text, err, diff)
		}
		if err != nil {
			checkFits(t, err.Error())
		}
	}
}

func FuzzParseHorizon(f *testing.F) {
	for _, s := range []string{"10", "270-330 25, 20-60 15", "330-20 25", "1e1", "0x1p3", "-0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		parts, err := parseHorizon(text)
		if (err == nil) != (len(parts) > 0) {
			t.Fatalf("%q: %v, %v", text, parts, err)
		}
		for _, h := range parts {
			if !(h.ElDeg >= 0 && h.ElDeg <= 89 && h.FromDeg >= 0 && h.FromDeg <= 360 && h.ToDeg >= 0 && h.ToDeg <= 360) {
				t.Fatalf("%q: %+v", text, h)
			}
		}
	})
}

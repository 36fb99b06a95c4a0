package exchange

import (
	"strings"
	"testing"
)

// fresher is OCHRE-1's set with another epoch, as two lines.
const fresher = `OCHRE-1
1 99101U 26901A   26244.45277431  .00016410  00000+0  29000-3 0   12
2 99101  51.6400 120.2711 0006103  77.1200 100.0500 15.48881812 4123`

func TestLooksLikeElements(t *testing.T) {
	omm := `{"OBJECT_NAME":"X","MEAN_MOTION":15.1,"ECCENTRICITY":0.001}`
	for text, want := range map[string]bool{
		fresher: true,
		strings.ReplaceAll(fresher, "\n", "\r\n"): true,
		strings.ReplaceAll(fresher, "  ", " "):    true, // a phone that eats blanks: told, not filed as contacts
		"  " + fresher:                            true,
		omm:                                       true,
		"EPOCH = 2026\nMEAN_MOTION = 15\nECCENTRICITY = 0.1": true,
		"":                                 false,
		"hx7abc jo33":                      false,
		"1 hx7abc jo33\n2 di4zab jo43":     false,
		"1 line\n2 lines":                  false,
		"the mean motion of the satellite": false,
	} {
		if got := looksLikeElements(text); got != want {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
}

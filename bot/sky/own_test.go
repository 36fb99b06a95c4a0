package sky

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skyslate/predict"
	"skyslate/predict/predicttest"
)

// fresher is OCHRE-1's set with another epoch, as two lines.
const fresher = `OCHRE-1
1 99101U 26901A   26244.45277431  .00016410  00000+0  29000-3 0   12
2 99101  51.6400 120.2711 0006103  77.1200 100.0500 15.48881812 4123`

// The tables of elements that everybody has are everybody's.
func TestSharedTablesStayShared(t *testing.T) {
	shared := inventedSky(t)
	sets, _, err := predict.ReadElements(strings.NewReader(fresher), "test")
	if err != nil || len(sets) != 1 {
		t.Fatal(sets, err)
	}
	own := shared.With(Own{Sets: sets})
	from, to := utc("2026-09-01T12:00:00Z"), utc("2026-09-01T18:00:00Z")
	for _, catalog := range []int{99101, 99127} {
		a, err1 := shared.Ephemeris(catalog, from, to)
		b, err2 := own.Ephemeris(catalog, from, to)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		if same := a == b; same != (catalog == 99127) {
			t.Errorf("%d: the same table: %v", catalog, same)
		}
	}
	newer := sets[0]
	newer.Epoch = newer.Epoch.Add(time.Hour)
	shared.Replace([]predict.Elements{newer})
	if e, _ := own.Elements(99101); e != newer {
		t.Errorf("the shared elements are newer now, but those of %v are used", e.Epoch)
	}
}

// A bird written as rows of the list and read again is the same bird, and with
// one column changed differs in that alone.
func TestBirdRowsRoundTrip(t *testing.T) {
	for _, b := range append(predict.StarterBirds(), predicttest.Birds()...) {
		again, err := Changed(b, nil)
		if err != nil {
			t.Errorf("%s: %v", b.Name, err)
			continue
		}
		for i := range again.Transponders {
			again.Transponders[i].Source = b.Transponders[i].Source // one column for both
		}
		if diff := cmp.Diff(b, again); diff != "" {
			t.Errorf("%s (-was +is):\n%s", b.Name, diff)
		}
		other, err := Changed(b, map[string]string{"tone_hz": "77"})
		if err != nil || other.Main().ToneHz != 77 && other.Main().Kind != 0 || other.LogName != b.LogName {
			t.Errorf("%s with another tone: %+v, %v", b.Name, other, err)
		}
	}
}

package sky

import (
	"testing"

	"skyslate/predict"
)

// A bird answers to its name without the number, where that means no other bird and is no
// word of a contact.
func TestShortNames(t *testing.T) {
	var birds []predict.Bird
	for i, name := range []string{"WICKET-1", "SEDGE-4", "SEDGE-5", "MIKE-2", "SIERRA-1", "LOST-3", "PIERRE-1", "OX-9", "OCHRE-B", "HAYLOFT 2"} {
		birds = append(birds, predict.Bird{Name: name, LogName: name, Catalog: 99001 + i})
	}
	s := New(birds, nil)
	for word, want := range map[string]string{
		"wicket": "WICKET-1", "Hayloft": "HAYLOFT 2", "wicket-1": "WICKET-1",
		"sedge": "", "mike": "", "sierra": "", "lost": "", "pierre": "", "ox": "", "ochre": "", "wick": "",
	} {
		if got, ok := s.Bird(word); got.Name != want || ok != (want != "") {
			t.Errorf("%q: %s, want %q", word, got.Name, want)
		}
	}
	// A second bird that begins so takes the short name from the first.
	second := map[string]string{
		"bird": "WICKET-2", "catalog": "99102", "log_name": "WI-2", "kind": "FM", "mode": "FM", "uplink_mhz": "145.9", "downlink_mhz": "435.1",
		"status": "normally on", "status_date": "2027-05-01", "status_source": "invented", "source": "invented",
	}
	if _, err := NewBird(second); err != nil {
		t.Fatal(err)
	}
	over := s.With(Own{Birds: []Change{{Catalog: 99102, New: true, Set: second}}})
	if got, ok := over.Bird("wicket"); ok {
		t.Errorf("wicket: %s, want none of two", got.Name)
	}
}

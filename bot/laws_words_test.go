package bot

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
)

// corrections are lines that say something of a contact with a call; the last ones do so
// where there is such a contact alone.
var correctingWords = []string{
	"%s is jo34", "%s was in jo34", "late %s is jo34", "correct %s is jo34", "no i meant %s is jo34", "sorry, %s was jo34",
	"%s name is anna", "name of %s is anna", "%s heißt anna", "%s se llama ana", "%s s'appelle anne", "%s si chiama anna", "%s se chama ana",
	"%s was 55 not 59", "%s war 55 nicht 59", "%s era 55 no 59", "%s was at 13:14", "Korrektur: %s war jo34", "%s era jo34", "%s était jo34", "%s foi jo34",
}

// TestLawOfCorrections wants a line about a contact to make none: on its pass, on another
// one while a bird is up, and where nothing has the call. There it is asked.
func TestLawOfCorrections(t *testing.T) {
	for _, words := range correctingWords {
		for _, wait := range []time.Duration{2 * time.Minute, 100 * time.Minute, 16 * time.Hour} {
			line := fmt.Sprintf(words, "di4zab")
			p := play(t, history{{kind: "say", id: 1, text: "DI4ZAB JO33"}, {kind: "say", id: 2, text: line, wait: wait}})
			if n := len(p.standing()); n != 1 {
				t.Errorf("%q %s later: %d contacts: %q", line, wait, n, p.log())
			}
			p.close()
		}
		p := play(t, history{{kind: "say", id: 1, text: "DI4ZAB JO33"}, {kind: "say", id: 2, text: fmt.Sprintf(words, "2z0vek"), wait: 2 * time.Minute}})
		for _, c := range p.standing()[1:] {
			if c.Exported() {
				t.Errorf("%q of a call that nothing has: %q", words, p.log())
			}
		}
		p.close()
	}
}

// standing are the contacts that were not dropped.
func (p *player) standing() []storage.Contact {
	return slices.DeleteFunc(slices.Clone(p.contacts()), func(c storage.Contact) bool { return c.State == storage.Dropped || strings.TrimSpace(c.Text) == "" })
}

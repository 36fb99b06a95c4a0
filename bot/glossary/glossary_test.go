package glossary

import (
	"strings"
	"testing"
)

func TestGlossary(t *testing.T) {
	for name, row := range names {
		if Meaning(row) == "" || name != strings.ToLower(name) {
			t.Errorf("%q of %q can't be found, or means nothing", name, row)
		}
	}
	for row, meaning := range meanings {
		if n := strings.Count(meaning, ". ") + 1; n > 4 || !strings.HasSuffix(meaning, ".") {
			t.Errorf("%s has %d sentences, or ends in the middle of one: %s", row, n, meaning)
		}
	}
	if Find("acquisition of signal") != "aos" || Find("moon") != "" || Meaning("moon") != "" {
		t.Error("acquisition of signal is not AOS, or the moon is a term of the trade")
	}
}

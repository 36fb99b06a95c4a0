package parse

import (
	"strings"
	"testing"
)

// Source: the spelling lists of ITU Radio Regulations Appendix 14 and of ICAO
// Annex 10 with their alternates, in testdata/authorities/reading. Other
// languages' figures and what only controls are out of scope.
func TestSpellings(t *testing.T) {
	levels := map[string]trust{"sure": plain, "context": loose, "ask": guess}
	standard := map[string]bool{}
	table := authority(t, "reading/phonetics.csv")
	most := map[string]trust{} // a token may have several rows
	for _, row := range table {
		most[row["token"]] = max(most[row["token"]], levels[row["confidence"]])
	}
	for _, row := range table {
		if row["kind"] == "control" || row["kind"] == "modifier" || strings.HasPrefix(row["class"], "foreign") && row["kind"] == "digit" {
			continue
		}
		word := strings.ReplaceAll(folded(row["token"]).S, "-", " ")
		if strings.HasSuffix(word, "'s") || len(word) == 1 {
			continue // read without its ending, or as it is typed
		}
		sp := tables().find(word).spells
		switch {
		case sp.trust == unspelled:
			t.Errorf("%q (%s) is not known", word, row["symbol"])
		case sp.syms != row["symbol"] && sp.or != row["symbol"]:
			t.Errorf("%q spells %s or %q, want %s", word, sp.syms, sp.or, row["symbol"])
		case sp.trust > most[row["token"]]:
			t.Errorf("%q is trusted more than %s", word, row["confidence"])
		case row["class"] == "standard" && row["confidence"] == "sure" && sp.trust != plain:
			t.Errorf("%q is standard and not plain", word)
		}
		if row["class"] == "standard" {
			standard[row["symbol"]] = true
		}
	}
	if len(standard) != 36 {
		t.Errorf("%d standard symbols, want 36", len(standard))
	}
}

// Every spelled word is one that lines fold to: no capital, no accent.
func TestSpellingsAreFolded(t *testing.T) {
	for w := range tables().entries {
		if folded(w).S != w {
			t.Errorf("%q folds to %q", w, folded(w).S)
		}
	}
}

// Source: Unicode confusables and compatibility forms, in
// testdata/authorities/reading.
func TestFoldConfusables(t *testing.T) {
	for _, row := range authority(t, "reading/confusables.csv") {
		from, to := row["from"], strings.ToLower(row["to"])
		if row["kind"] == "look-alike" || strings.Contains(from, "..") || strings.HasPrefix(from, "U+") {
			continue
		}
		if got := folded(from).S; got != to {
			t.Errorf("%q (%s) folds to %q, want %q", from, row["kind"], got, to)
		}
	}
	for from, to := range map[string]string{
		"０１２３４５６７８９": "0123456789", "ＡＺａｚ": "azaz", "①⑨": "19", "⁰⁹₀₉": "0909", "٠٩": "09", "۰۹": "09", "०९": "09",
		"\u00a0\u202f\u2009": "   ", "a\u200bb\u200dc\ufeffd\u00ade\u200ef\ufe0f": "abcdef", "🇩🇪": "  ",
		"HXØ2": "hx02", "Søren": "soren", "HXØABC": "hx0abc", "Ø": "0", "é": "e", "e\u0301": "e", "Ж": "ж",
	} {
		if got := folded(from).S; got != to {
			t.Errorf("%q folds to %q, want %q", from, got, to)
		}
	}
}

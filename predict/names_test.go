package predict

import (
	"slices"
	"testing"
)

// A name in parentheses that has a figure is the one in use (common practice, no
// source).
func TestNamesIn(t *testing.T) {
	for name, want := range map[string][]string{
		"CELLAR-8":                {"CELLAR-8"},
		"FULL NAME 1C (SHORT-50)": {"SHORT-50", "FULL NAME 1C"},
		"LANTERN(LT-4)":           {"LT-4", "LANTERN"},
		"LANTERN (TINKER)":        {"LANTERN", "TINKER"},
		"(LT-4)":                  {"(LT-4)"},
		"LANTERN ()":              {"LANTERN ()"},
		"99310":                   {"99310"},
	} {
		if got := NamesIn(name); !slices.Equal(got, want) {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
	e := Elements{Name: "FULL NAME 1C (SHORT-50)"}
	if !e.Called("short50") || !e.Called("full name 1c") || !e.Called(`"FULL NAME 1C (SHORT-50)"`) || e.Called("50") {
		t.Error("elements are not called by their names, or by others")
	}
	if !SameName("lt 4", "LT-4") || SameName("LT-4", "LT-40") || SameName("", "-") {
		t.Error("names that are one are not, or the other way round")
	}
}

package parse

import "testing"

// Numbers beside a contact that are no time of day.
func TestNoClock(t *testing.T) {
	for text, want := range map[string]string{
		"kd9xmp en52 1240 km":           "",
		"kd9xmp en52 1,240 km":          "",
		"kd9xmp en52 2000 ft":           "",
		"kd9xmp en52 1500 people":       "",
		"kd9xmp en52 24.11.2026":        "",
		"kd9xmp en52 2026-11-24":        "",
		"kd9xmp en52 24/11/2026":        "",
		"kd9xmp en52 24 nov 2026":       "",
		"kd9xmp en52 nov 24 2026":       "",
		"kd9xmp en52 608-555-0142":      "",
		"kd9xmp en52 nov 24 1742z":      "17:42",
		"kd9xmp en52 2026-11-24 17:42":  "17:42",
		"2026-11-24 1742 kd9xmp en52":   "17:42",
		"kd9xmp en52 1742":              "17:42",
		"kd9xmp 1742 en52":              "17:42",
		"kd9xmp en52 1742 24.11.26":     "17:42",
		"kd9xmp en52 :42 540 km 1240 m": ":42",
	} {
		lines := Read(text, Known{})
		if len(lines[0].Contacts) != 1 || lines[0].Contacts[0].Clock.String() != want {
			t.Errorf("%q: %+v, want the time %q", text, lines[0].Contacts, want)
		}
	}
}

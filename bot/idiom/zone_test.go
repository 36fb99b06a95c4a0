package idiom

import (
	"strings"
	"testing"
	"time"
)

// Central European time is an hour ahead of UTC, and two in summer (the European
// Union's directive 2000/84/EC); Indian, Irish and Israeli time share a name (from
// memory).
func TestZoneIn(t *testing.T) {
	for text, want := range map[string]struct {
		z Zone
		n int
	}{
		"":                  {},
		"card?":             {},
		"wicket UTC":        {},
		"+49 170":           {},
		"UTC":               {n: 1},
		"z":                 {n: 1},
		"GMT, card":         {n: 1},
		"local":             {Zone{Local: true}, 1},
		"local time wicket": {Zone{Local: true}, 2},
		"hora local":        {Zone{Local: true}, 2},
		"CET":               {Zone{Ahead: time.Hour}, 1},
		"cest hayloft":      {Zone{Ahead: 2 * time.Hour}, 1},
		"UTC+2":             {Zone{Ahead: 2 * time.Hour}, 1},
		"utc +5:30 card":    {Zone{Ahead: 5*time.Hour + 30*time.Minute}, 2},
		"-03":               {Zone{Ahead: -3 * time.Hour}, 1},
		"IST":               {Zone{Unclear: true}, 1},
		"est":               {Zone{Unclear: true}, 1},
		"WEST":              {Zone{Ahead: time.Hour}, 1},
		"west":              {Zone{Unclear: true}, 1},
		"PYT":               {Zone{Unclear: true}, 1},
	} {
		if z, n := ZoneIn(strings.Fields(text)); z != want.z || n != want.n {
			t.Errorf("%q: %+v, %d words", text, z, n)
		}
	}
}

package limits

import (
	"slices"
	"testing"
	"time"

	"skyslate/bot/say/saytest"
	"skyslate/parse"
)

func TestTextsLoseNothing(t *testing.T) { saytest.Walk(t, extremes()) }

func extremes() map[string]saytest.Extreme {
	call, bird := parse.MustParseCallsign("3D2/OX2026ABCDEF/MM"), "VERY-LONG-NAMED-OCHRE-02"
	aos := time.Date(2026, 9, 29, 20, 38, 58, 0, time.UTC)
	los := aos.Add(11 * time.Minute)
	return map[string]saytest.Extreme{
		"CaughtUp": saytest.Said(CaughtUp(Missed{
			Messages: 999, Contacts: 999, Reminders: 99, From: aos, To: los,
		})).With("999 messages", "99 reminders"),
		"AfterDamage": saytest.Said(
			AfterDamage(Lost{Since: aos, Contacts: slices.Repeat([]LostContact{
				{99_999, call, aos, bird, true}, {Number: 1},
			}, 20)}),
			AfterDamage(Lost{All: true})).With("40 contacts", call.String(), bird, "#99999", "beginning"),
		"Forgotten":        saytest.Said(Forgotten(Copies{Backups: []time.Time{aos}, Kept: 14, Damaged: 1}, []string{saytest.LongWord})).With("Removed", "14 newer", "1 damaged"),
		"TooManyNow":       saytest.Said(TooManyNow),
		"TooManyToday":     saytest.Said(TooManyToday),
		"TooManyContacts":  saytest.Said(TooManyContacts),
		"TooManyDocuments": saytest.Said(TooManyDocuments),
		"TooManyMade":      saytest.Said(TooManyMade),
		"TooManyNumbers":   saytest.Said(TooManyNumbers),
		"TooMuchStored":    saytest.Said(TooMuchStored),
		"TooManyArmed":     saytest.Said(TooManyArmed),
		"TooManyOutings":   saytest.Said(TooManyOutings),
		"TooManySkeds":     saytest.Said(TooManySkeds),
		"FileGone":         saytest.Said(FileGone),
		"NoRoom":           saytest.Said(NoRoom),
	}
}

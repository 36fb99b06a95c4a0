package joint

import (
	"strings"
	"testing"
	"time"

	"skyslate/bot/say/saytest"
	"skyslate/parse"
)

func TestTextsLoseNothing(t *testing.T) { saytest.Walk(t, extremes()) }

// extremes are the texts of a second phone.
func extremes() map[string]saytest.Extreme {
	log := parse.MustParseCallsign("3D2/OX2026ABCDEF/MM") // with a place before it and marks behind it
	call, until, nobody := log.String(), time.Date(2026, 9, 29, 20, 38, 58, 0, time.UTC), parse.Callsign{}
	code := "phone-" + strings.Repeat("x", 26)
	return map[string]saytest.Extreme{
		"OwnCode":       saytest.Said(OwnCode),
		"CodeOver":      saytest.Said(CodeOver),
		"NoCode":        saytest.Said(NoCode),
		"Elsewhere":     saytest.Said(Elsewhere),
		"InTurn":        saytest.Said(InTurn),
		"NoSecond":      saytest.Said(NoSecond),
		"OfferOff":      saytest.Said(OfferOff),
		"RemainsInLogs": saytest.Said(RemainsInLogs),
		"Offer":         saytest.Said(Offer(until, code)).With(code, "UTC"),
		"Joined":        saytest.Said(Joined(log, until, true), Joined(nobody, until, false)).With(call, "rests"),
		"Came":          saytest.Said(Came(log, until), Came(nobody, until)).With(call),
		"On":            saytest.Said(On(nobody, log, until, true), On(log, nobody, until, false)).With(call),
		"Gone":          saytest.Said(Gone(log, until, EndedByOther), Gone(nobody, until, EndedByTime)).With(call),
		"Ended":         saytest.Said(Ended(log, until, true, EndedByOther), Ended(nobody, until, false, EndedByYou)).With(call, "that log"),
		"Card":          saytest.Edited(Card(log)).With(call),
		"Late":          saytest.Said(Late(log, strings.Repeat("ox9qzt jo33 ", 9)), Late(nobody, "")).With(call, "ox9qzt jo33"),
		"Refused":       saytest.Said(Refused(strings.Repeat("ox9qzt jo33 ", 9))).With("/second", "/start"),
		"Nowhere":       saytest.Said(Nowhere(log, strings.Repeat("ox9qzt jo33 ", 9), true), Nowhere(nobody, "ox9qzt jo33", false)).With(call, "that log"),
		"Over":          saytest.Said(Over(log, true), Over(nobody, false)).With(call, "that log", "own"),
		"NotYours":      saytest.Said(NotYours(log)).With(call),
		"Help":          saytest.Said(Help(log)).With(call, "/second off"),
	}
}

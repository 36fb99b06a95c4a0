package say

import (
	"strings"

	"skyslate/bot/say/saytest"
	"skyslate/parse"
)

// extremesOfSecond are the texts of a second phone.
func extremesOfSecond(e edge) map[string]saytest.Extreme {
	call, until, nobody := e.call.String(), e.one.LOS, parse.Callsign{}
	code := "phone-" + strings.Repeat("x", 26)
	return map[string]saytest.Extreme{
		"OwnCode":         saytest.Said(OwnCode),
		"CodeOver":        saytest.Said(CodeOver),
		"NoCode":          saytest.Said(NoCode),
		"SecondElsewhere": saytest.Said(SecondElsewhere),
		"SecondInTurn":    saytest.Said(SecondInTurn),
		"NoSecond":        saytest.Said(NoSecond),
		"OfferOff":        saytest.Said(OfferOff),
		"RemainsInLogs":   saytest.Said(RemainsInLogs),
		"OfferSecond":     saytest.Said(OfferSecond(until, code)).With(code, "UTC"),
		"SecondJoined":    saytest.Said(SecondJoined(e.call, until, true), SecondJoined(nobody, until, false)).With(call, "rests"),
		"SecondCame":      saytest.Said(SecondCame(e.call, until), SecondCame(nobody, until)).With(call),
		"SecondOn":        saytest.Said(SecondOn(nobody, e.call, until, true), SecondOn(e.call, nobody, until, false)).With(call),
		"SecondGone":      saytest.Said(SecondGone(e.call, until, EndedByOther), SecondGone(nobody, until, EndedByTime)).With(call),
		"SecondEnded":     saytest.Said(SecondEnded(e.call, until, true, EndedByOther), SecondEnded(nobody, until, false, EndedByYou)).With(call, "that log"),
		"SecondCard":      saytest.Edited(SecondCard(e.call)).With(call),
		"SecondLate":      saytest.Said(SecondLate(e.call, strings.Repeat("ox9qzt jo33 ", 9)), SecondLate(nobody, "")).With(call, "ox9qzt jo33"),
		"SecondRefused":   saytest.Said(SecondRefused(strings.Repeat("ox9qzt jo33 ", 9))).With("/second", "/start"),
		"SecondNowhere":   saytest.Said(SecondNowhere(e.call, strings.Repeat("ox9qzt jo33 ", 9), true), SecondNowhere(nobody, "ox9qzt jo33", false)).With(call, "that log"),
		"SecondOver":      saytest.Said(SecondOver(e.call, true), SecondOver(nobody, false)).With(call, "that log", "own"),
		"ChangedBy":       saytest.Edited(ChangedBy(e.call, e.contacts[0], e.contacts[1], false), ChangedBy(e.call, e.contacts[0], Contact{}, true)),
		"NotYours":        saytest.Said(NotYours(e.call)).With(call),
		"SecondHelp":      saytest.Said(SecondHelp(e.call)).With(call, "/second off"),
	}
}

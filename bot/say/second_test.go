package say

import (
	"strings"

	"skyslate/parse"
)

// extremesOfSecond are the texts of a second phone.
func extremesOfSecond(e edge) map[string]extreme {
	call, until, nobody := e.call.String(), e.one.LOS, parse.Callsign{}
	code := "phone-" + strings.Repeat("x", 26)
	return map[string]extreme{
		"OwnCode":         said(OwnCode),
		"CodeOver":        said(CodeOver),
		"NoCode":          said(NoCode),
		"SecondElsewhere": said(SecondElsewhere),
		"SecondInTurn":    said(SecondInTurn),
		"NoSecond":        said(NoSecond),
		"OfferOff":        said(OfferOff),
		"RemainsInLogs":   said(RemainsInLogs),
		"OfferSecond":     said(OfferSecond(until, code)).with(code, "UTC"),
		"SecondJoined":    said(SecondJoined(e.call, until, true), SecondJoined(nobody, until, false)).with(call, "rests"),
		"SecondCame":      said(SecondCame(e.call, until), SecondCame(nobody, until)).with(call),
		"SecondOn":        said(SecondOn(nobody, e.call, until, true), SecondOn(e.call, nobody, until, false)).with(call),
		"SecondGone":      said(SecondGone(e.call, until, EndedByOther), SecondGone(nobody, until, EndedByTime)).with(call),
		"SecondEnded":     said(SecondEnded(e.call, until, true, EndedByOther), SecondEnded(nobody, until, false, EndedByYou)).with(call, "that log"),
		"SecondCard":      edited(SecondCard(e.call)).with(call),
		"SecondLate":      said(SecondLate(e.call, strings.Repeat("ox9qzt jo33 ", 9)), SecondLate(nobody, "")).with(call, "ox9qzt jo33"),
		"SecondNowhere":   said(SecondNowhere(e.call, strings.Repeat("ox9qzt jo33 ", 9), true), SecondNowhere(nobody, "ox9qzt jo33", false)).with(call, "that log"),
		"SecondOver":      said(SecondOver(e.call, true), SecondOver(nobody, false)).with(call, "that log", "own"),
		"ChangedBy":       edited(ChangedBy(e.call, e.contacts[0], e.contacts[1], false), ChangedBy(e.call, e.contacts[0], Contact{}, true)),
		"NotYours":        said(NotYours(e.call)).with(call),
		"SecondHelp":      said(SecondHelp(e.call)).with(call, "/second off"),
	}
}

package say

import "skyslate/bot/say/saytest"

func extremesOfAgreeing(e edge) map[string]saytest.Extreme {
	call := e.call.String()
	sure := e.contacts[0]
	squares := grids("JO62 JO72 JO63 JO73")
	differ := Difference{
		Call: e.call, Grids: squares, Mine: sure, Theirs: sure, TheirCall: true, MyCall: true, OtherBird: true, OtherTime: true,
	}
	missing, lacking := differ, differ
	missing.Missing, lacking.Lacking = true, true
	return map[string]saytest.Extreme{
		"AskAgreeing":    saytest.Edited(AskAgreeing(e.call)).With(call, "Never", "proves", "off"),
		"AgreeingOn":     saytest.Edited(AgreeingOn(e.call)).With(call),
		"AgreeingEnded":  saytest.Said(AgreeingEnded(e.call)).With(call),
		"AgreeingSince":  saytest.Said(AgreeingSince(e.call, e.one.AOS)).With(call),
		"SameCall":       saytest.Said(SameCall(e.call)).With(call),
		"Differs":        saytest.Edited(Differs(differ), Differs(missing), Differs(lacking)).With(call, e.name, "JO73", "send"),
		"AgreesNow":      saytest.Edited(AgreesNow(e.call)).With(call),
		"DiffersNoMore":  saytest.Edited(DiffersNoMore(e.call)).With(call),
		"OtherBirdTaken": saytest.Said(OtherBirdTaken(e.call, e.name)).With(e.call.String(), e.name),
		"TakenOver":      saytest.Edited(TakenOver(e.call, squares)).With(call, "JO73"),
	}
}

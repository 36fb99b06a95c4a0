package say

func extremesOfAgreeing(e edge) map[string]extreme {
	call := e.call.String()
	sure := e.contacts[0]
	squares := grids("JO62 JO72 JO63 JO73")
	differ := Difference{
		Call: e.call, Grids: squares, Mine: sure, Theirs: sure, TheirCall: true, MyCall: true, OtherBird: true, OtherTime: true,
	}
	missing, lacking := differ, differ
	missing.Missing, lacking.Lacking = true, true
	return map[string]extreme{
		"AskAgreeing":   edited(AskAgreeing(e.call)).with(call, "Never", "proves", "off"),
		"AgreeingOn":    edited(AgreeingOn(e.call)).with(call),
		"AgreeingEnded": said(AgreeingEnded(e.call)).with(call),
		"AgreeingSince": said(AgreeingSince(e.call, e.one.AOS)).with(call),
		"SameCall":      said(SameCall(e.call)).with(call),
		"Differs":       edited(Differs(differ), Differs(missing), Differs(lacking)).with(call, e.name, "JO73", "send"),
		"AgreesNow":     edited(AgreesNow(e.call)).with(call),
		"DiffersNoMore": edited(DiffersNoMore(e.call)).with(call),
		"TakenOver":     edited(TakenOver(e.call, squares)).with(call, "JO73"),
	}
}

package idiom

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// skedIs reports whether a line with a form in it tells of a sked.
func skedIs(line string, tells bool) func(string) bool {
	return func(form string) bool {
		words, told, ok := Sked(fmt.Sprintf(line, form), isWicket)
		call, behind, _ := strings.Cut(words, " ")
		grid := strings.TrimRight(behind, ".")
		return ok && told == tells && call == "hx7abc" && strings.HasSuffix(grid, "jo33")
	}
}

// Each form of the table, with each variant of its words, is read as its kind says.
func TestTable(t *testing.T) {
	reads := map[string]func(form string) bool{
		"number": func(form string) bool {
			n, _ := Numbered("drop " + form + " 3")
			return len(n.All) == 1 && n.Says == dropped
		},
		"drop": func(form string) bool { n, _ := Numbered("3 " + form); return n.Says == dropped },
		"are": func(form string) bool {
			n, _ := Numbered("2 and 3 " + form + " /p")
			return n.Says == "/p" && len(n.All) == 2
		},
		"is":     func(form string) bool { n, _ := Numbered("3 " + form + " /p"); return n.Says == "/p" },
		"and":    func(form string) bool { n, _ := Numbered("drop 3 " + form + " 4"); return len(n.All) == 2 },
		"sked":   skedIs("%s hx7abc jo33", false),
		"meets":  skedIs("%s hx7abc tomorrow, he is in jo33.", true),
		"wishes": skedIs("hx7abc %s tomorrow jo33", true),
		"moves": func(form string) bool {
			return skedIs("%s hx7abc tomorrow jo33", true)(form) && MovesSked(form+" hx7abc")
		},
		"appoints": skedIs("%s morgen mit hx7abc jo33", false),
		"promised": skedIs("%s hx7abc to be on the air tomorrow jo33", true),
		"tobe":     skedIs("i promised hx7abc %s tomorrow jo33", true),
		"onair":    skedIs("meeting hx7abc %s tomorrow jo33", true),
		"mit":      skedIs("%s hx7abc jo33 abgemacht", true),
		"arranged": skedIs("con hx7abc jo33 %s", true),
		"coming":   func(form string) bool { return comingDay.MatchString(form) },
		"pass":     func(form string) bool { return ofSked("18h "+form) == "18:00" },
		"off":      func(form string) bool { call, ok := SkedOff("hx7abc " + form); return ok && call.IsValid() },
		"talk":     isTalk, "degree": func(form string) bool { return isTalk("was " + form + " loud") }, "seems": func(form string) bool { return isTalk(form + " loud") }, "like": isTalk,
		"trades": func(form string) bool { return isTalk(form + " ox9qzt") }, "others": func(form string) bool { return isTalk("calling " + form) },
		"there": func(form string) bool {
			_, rest, ok := GridBehind(strings.Fields("tomorrow " + form + " jo33"))
			return ok && strings.Join(rest, " ") == "tomorrow"
		},
		"polite": func(form string) bool {
			n, ok := namedOf("hx7abc was jo34, " + form)
			return ok && n.Words == "" && !n.Maybe
		},
		"hedge": func(form string) bool {
			n, ok := namedOf("hx7abc was jo34, " + form)
			return ok && n.Words == "" && n.Maybe
		},
		"or":      func(form string) bool { return WithoutHalves("hx7abc jo33 "+form+" 34") == "hx7abc jo33 "+form+" jo34" },
		"oneof":   func(form string) bool { return WithoutHalves("hx7abc jo33 jo34 "+form) == "hx7abc jo33 or jo34" },
		"single":  func(form string) bool { return minuteAgo(form + " minute ago") },
		"minutes": func(form string) bool { return minuteAgo("1 " + form + " ago") },
		"ago":     func(form string) bool { return minuteAgo("1 minute " + form) },
		"since":   func(form string) bool { return minuteAgo(form + " 1 minute") },
		"theirs":  func(form string) bool { grid, ok := TheirGrid(form + " jo33"); return ok && grid == "jo33" },
		"lead":    Leads,
		"out":     func(form string) bool { return GoesOut(form + " jo33") },
		"state":   func(form string) bool { n, _ := Numbered("3 4 " + form); return n.Says == form },
		"beside":  func(form string) bool { return NamesAlone(form+" wicket 1", "WICKET-1") },
		"local": func(form string) bool {
			zone, _ := ZoneIn(strings.Fields(form))
			return HasLocal("hx7abc 15:00 "+form) && zone.Local
		},
		"corrects": func(form string) bool { n, ok := namedOf(form + ": hx7abc is jo33"); return ok && n.Sure },
		"no":       func(form string) bool { _, ok := namedOf(form + " hx7abc is hx7abd"); return ok },
		"half": func(form string) bool {
			n, ok := namedOf("fix " + form + " hx7abc is hx7abd")
			return ok && len(n.Calls) == 2
		},
		"in": func(form string) bool { _, ok := namedOf("hx7abc was " + form + " jo33"); return ok },
		"not": func(form string) bool {
			n, ok := namedOf("hx7abc was jo33 " + form + " jo34")
			return ok && len(n.Grids) == 1
		},
		"of": func(form string) bool {
			n, ok := namedOf("call " + form + " hx7abc is hx7abd")
			return ok && len(n.Calls) == 2
		},
		"really": func(form string) bool {
			n, ok := namedOf("hx7abc is " + form + " hx7abd")
			return ok && len(n.Calls) == 2
		},
		"instead": func(form string) bool { n, ok := namedOf("hx7abc " + form + " hx7abd"); return ok && len(n.Calls) == 2 },
		"into": func(form string) bool {
			n, ok := namedOf("change hx7abc " + form + " hx7abd")
			return ok && len(n.Calls) == 2
		},
		"on": func(form string) bool {
			n, _ := namedOf("drop hx7abc " + form + " saturday")
			return n.Words == "saturday"
		},
		"article": func(form string) bool { n, ok := namedOf("delete " + form + " hx7abc one"); return ok && n.Words == "" },
		"noun":    func(form string) bool { n, ok := namedOf("delete hx7abc " + form); return ok && n.Words == "" },
		"all":     AllWorked,
		"worked": func(form string) bool {
			n, ok := namedOf("hx7abc jo33 " + form + " on saturday")
			return ok && n.Says[0] == wasWorked && n.Words == "saturday"
		},
		"missed": func(form string) bool { n, ok := namedOf("hx7abc " + form); return ok && n.Open && n.Says[0] == wasNot },
		"right":  func(form string) bool { n, ok := namedOf("hx7abc " + form); return ok && n.Fine },
		"indeed": func(form string) bool { n, ok := namedOf(form + " hx7abc"); return ok && n.Open },
		"never":  func(form string) bool { n, ok := namedOf("hx7abc was " + form + " in jo33"); return ok && n.Guess },
		"hour": func(form string) bool {
			return HasLocal("hx7abc 15:00 "+form+" local") && ofSked("hx7abc 15 "+form) == "hx7abc 15:00"
		},
		"amiss":     func(form string) bool { n, ok := namedOf("so hx7abc his grid " + form); return ok && n.Guess },
		"yesterday": func(form string) bool { n, ok := namedOf("so hx7abc " + form + " jo33"); return ok && n.Maybe },
		"report":    func(form string) bool { return IsReport(form+" 57") && !IsReport(form+" was bad") },
		"at": func(form string) bool {
			n, _ := Numbered("3 " + form + " 10:43")
			return len(n.All) == 1 && n.Says == "10:43"
		},
		"name": func(form string) bool {
			n, ok := namedOf("hx7abc " + form + " is anna")
			told, alone := Aside(form + " anna")
			return ok && n.Says[0] == "name anna" && alone && told.Name == "Anna"
		},
		"goes": Goes,
		"asks": func(form string) bool { return Inquires(form + " it still up") },
		"please": func(form string) bool {
			n, ok := Numbered("drop 3 " + form)
			return ok && n.Says == dropped && n.Words == ""
		},
		"called": func(form string) bool {
			n, ok := namedOf("hx7abc " + form + " anna")
			return ok && n.Says[0] == "name anna"
		},
		"clock": func(form string) bool {
			n, ok := namedOf("hx7abc " + form + " was 10:43")
			return ok && n.Says[0] == "10:43"
		},
		"meant": func(form string) bool {
			n, ok := namedOf("no " + form + " hx7abc is jo33")
			return ok && n.TellsGrid() && !n.Sure
		},
		"wrong": func(form string) bool {
			n, ok := namedOf("jo33 " + form + ", it's jo34")
			return ok && n.Says[0] == "jo34"
		},
		"because": func(form string) bool { n, ok := namedOf("drop hx7abc, " + form); return ok && n.Words == "" },
		"with":    func(form string) bool { n, ok := namedOf("drop hx7abc " + form); return ok && n.With && n.Words == "" },
		"without": func(form string) bool { n, ok := namedOf("drop hx7abc " + form); return ok && n.Lacks && !n.With },
		"bring":   func(form string) bool { n, ok := namedOf("oops " + form + " hx7abc back"); return ok && n.Back },
		"back": func(form string) bool {
			n, ok := namedOf("put hx7abc with grid " + form)
			return ok && n.Back && n.With
		},
		"restore": func(form string) bool { n, ok := namedOf(form + " hx7abc"); return ok && n.Back },
		"did": func(form string) bool {
			n, ok := namedOf("yes, " + form + " hx7abc")
			return ok && n.Open && n.Says[0] == wasWorked
		},
		"finally": func(form string) bool {
			n, ok := namedOf("i worked hx7abc " + form + ", jo33")
			return ok && n.Open && n.Says[0] == wasWorked && len(n.Grids) == 1
		},
		"neverwas": func(form string) bool { n, ok := namedOf(form + " hx7abc"); return ok && n.Open && n.Says[0] == wasNot },
		"notmade": func(form string) bool {
			n, ok := namedOf("hx7abc " + form + " yesterday")
			return ok && n.Open && n.Says[0] == wasNot && n.Words == "yesterday"
		},
		"move": func(form string) bool {
			n, ok := namedOf(form + " hx7abc to wicket")
			numbers, _ := Numbered(form + " 1 on hayloft to wicket")
			return ok && n.Bird == "wicket" && numbers.Says == "wicket" && numbers.Words == "hayloft"
		},
		"likewise": func(form string) bool {
			n, ok := namedOf("hx7abc was " + form + " hx7abd")
			return ok && len(n.Calls) == 2
		},
		"day": func(form string) bool {
			n, ok := namedOf("hx7abc " + form + " was jo33")
			return ok && n.Words == form
		},
		"last": func(form string) bool {
			n, ok := namedOf(form + " one was jo33")
			return ok && n.Last
		},
		"but": func(form string) bool {
			n, ok := namedOf("hx7abc was not on wicket " + form + " on hayloft")
			return ok && n.Bird == "hayloft" && n.Off == "wicket"
		},
		"unheard":  Unheard,
		"aside":    func(form string) bool { return Unheard(form+" not heard") && Unheard("not heard "+form) },
		"later":    func(form string) bool { return UnheardLater("no copy "+form) && !Unheard("no copy "+form) },
		"hears":    func(form string) bool { return HeardAgain(form + " hx7abc again") },
		"more":     func(form string) bool { return HeardAgain("heard hx7abc " + form) },
		"only":     func(form string) bool { return !HeardAgain(form + " heard hx7abc again") },
		"portable": func(form string) bool { mark, ok := MarkIn(form); return ok && mark == "P" },
		"mobile":   func(form string) bool { mark, ok := MarkIn(form); return ok && mark == "M" },
		"afloat":   func(form string) bool { mark, ok := MarkIn(form); return ok && mark == "MM" },
		"received": func(form string) bool { told, ok := Aside(form + " 57"); return ok && told.Report == "57" },
		"given":    func(form string) bool { told, ok := Aside(form + " 57"); return ok && told.ReportSent == "57" },
		"from":     func(form string) bool { told, ok := Aside("got 57 " + form); return ok && told.Report == "57" },
		"place": func(form string) bool {
			told, ok := Aside(form + " new town, name anna")
			return ok && told.Name == "Anna" && told.Comment == form+" new town"
		},
		"lasttwo":  func(form string) bool { return placed("drop "+form, FromLast, 1, 2) },
		"both":     func(form string) bool { return placed("drop "+form, OfTwo, 1, 2) },
		"before":   func(form string) bool { return placed(form+" was jo33", FromLast, 2) },
		"figure 1": func(form string) bool { return placed("drop "+form, OfLists, 1) },
		"figure 2": func(form string) bool { return placed(form+" was jo33", OfLists, 2) },
		"figure 3": func(form string) bool { return placed("drop "+form, OfLists, 3) },
		"figure 4": func(form string) bool { return placed(form+" is /p", OfLists, 4) },
		"figure 5": func(form string) bool { return placed("drop "+form, OfLists, 5) },
		"1":        func(form string) bool { return placed("the "+form+" one was jo33", FromFirst, 1) },
		"2":        func(form string) bool { return placed("drop the "+form+" one", FromFirst, 2) },
		"3":        func(form string) bool { return placed(form+" contact was jo33", FromFirst, 3) },
		"4":        func(form string) bool { return placed(form+" one is jo33", FromFirst, 4) },
		"5":        func(form string) bool { return placed(form+" one was jo33", FromFirst, 5) },
		"it":       func(form string) bool { return WithoutIs(form+" was jo33") == "jo33" },
		"first":    func(form string) bool { return Ordinal(form) == 1 },
		"second":   func(form string) bool { return Ordinal(form) == 2 },
		"yes":      func(form string) bool { yes, ok := YesOrNo(form + "."); return ok && yes },
		"nay":      func(form string) bool { yes, ok := YesOrNo(form + "!"); return ok && !yes },
		"same":     func(form string) bool { rest, same := WithoutSame("hx7abc " + form); return same && rest == "hx7abc" },
	}
	for row := range strings.Lines(idioms) {
		cells := strings.Split(strings.TrimSpace(row), " | ")
		if len(cells) == 1 || strings.HasPrefix(row, "#") {
			continue
		}
		for _, form := range cells[1:] {
			for _, words := range variants(formPart.FindAllString(form, -1)) {
				if read := reads[cells[0]]; read == nil || !read(words) {
					t.Errorf("%s: %q is not read", cells[0], words)
				}
			}
		}
	}
}

// placed reports whether a line names contacts by their places.
func placed(line string, counts Place, numbers ...int) bool {
	n, ok := Numbered(line)
	return ok && n.Place == counts && slices.Equal(n.All, numbers)
}

// variants are all the ways in which the parts of a form can be said.
func variants(parts []string) []string {
	if len(parts) == 0 {
		return []string{""}
	}
	first, may := strings.CutSuffix(parts[0], "?")
	rests := variants(parts[1:])
	var all []string
	if may {
		all = append(all, rests...)
	}
	for word := range strings.SplitSeq(strings.Trim(first, "{}"), "|") {
		for _, rest := range rests {
			all = append(all, strings.TrimSpace(word+" "+rest))
		}
	}
	return all
}

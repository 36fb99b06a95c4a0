package idiom

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/parse"
)

func TestNumbered(t *testing.T) {
	type numbered struct {
		all  string
		says string
	}
	for line, want := range map[string]numbered{
		"3 is /p":               {"[3]", "/p"},
		"#3 is jo44":            {"[3]", "jo44"},
		"contact 12 was ox9qzt": {"[12]", "ox9qzt"},
		"3 was: jo44":           {"[3]", "jo44"},
		"drop 3":                {"[3]", dropped},
		"Drop #3!":              {"[3]", dropped},
		"3 drop":                {"[3]", dropped},
		"lösche 2":              {"[2]", dropped},
		"3 ist jo44":            {"[3]", "jo44"},
		"3 hx7abc jo33":         {"[]", ""},
		"3: hx7abc jo33":        {"[]", ""},
		"3. hx7abc jo33":        {"[]", ""},
		"10:43 is right":        {"[]", ""},
		"drop it":               {"[]", ""},
		"drop hx7abc":           {"[]", ""},
		"drop 3 hx7abc":         {"[]", ""},
		"hx7abc is /p":          {"[]", ""},
		"3":                     {"[]", ""},
		"1043 is late":          {"[]", ""},
		"3 10:43":               {"[3]", "10:43"},
		"#3 at 10:43 utc":       {"[3]", "10:43 utc"},
		"3 10:43 hx7abc jo33":   {"[]", ""},
		"10:43":                 {"[]", ""},
		"drop 7 and 8":          {"[7 8]", dropped},
		"1-3 were on hayloft":   {"[1 2 3]", "on hayloft"},
		"drop 5-3":              {"[3 4 5]", dropped},
		"drop 2, 3 and #5":      {"[2 3 5]", dropped},
		"7 8 not worked":        {"[7 8]", "not worked"},
		"2 was worked":          {"[2]", "worked"},
		"4 5 9 hx7abc":          {"[]", ""},
		"dropp 4":               {"[4]", dropped},
		"3 10:43:20":            {"[3]", "10:43:20"},
		"3 :43":                 {"[3]", ":43"},
		"2 57":                  {"[2]", "rst 57"},
		"2 and 3 are /p":        {"[2 3]", "/p"},
		"12 57":                 {"[]", ""},
		"2 17":                  {"[]", ""},
		"contact 3 is wrong":    {"[3]", "wrong"},
		"3 +2:40":               {"[3]", "+2:40"},
		"3 at +3.30":            {"[3]", "+3.30"},
		"3 +2:40 hx7abc":        {"[]", ""},
		"3 worked":              {"[3]", wasWorked},
		"#3 was worked":         {"[3]", wasWorked},
		"3 not worked":          {"[3]", wasNot},
		"3 worked hx7abc":       {"[]", ""},
		"name of 1 is olle":     {"[1]", "name olle"},
		"1 name olle":           {"[1]", "name olle"},
		"change 2 to jo44":      {"[2]", "jo44"},
		"2 was 55 not 59":       {"[2]", "rst 55"},
		"time of 2 was 10:43":   {"[2]", "10:43"},
		"drop 12 from wicket-1": {"[12]", dropped + " wicket-1"},
		"change 2 jo44":         {"[]", ""},
		"the third was io91":    {"[]", ""}, // of the pass, or of the line before
		"the first was loud":    {"[]", ""},
		"yesterday 3 was jo34":  {"[3]", "jo34 yesterday"},
		"3 from sunday was /p":  {"[3]", "/p sunday"},
	} {
		n, _ := Numbered(line)
		if got := (numbered{fmt.Sprint(n.All), strings.TrimSpace(n.Says + " " + n.Words)}); got != want {
			t.Errorf("%q: %+v", line, got)
		}
	}
}

func namedOf(line string) (Naming, bool) {
	return Named(line, func(name string) bool { return name == "wicket" || name == "hayloft" })
}

func TestNamed(t *testing.T) {
	for line, want := range map[string]string{
		"f0zzd is f0zzq":                 "[F0ZZD F0ZZQ] [f0zzq f0zzd] [] true",
		"no f0zzd is f0zzq":              "[F0ZZD F0ZZQ] [f0zzq f0zzd] [] true",
		"correct call: f0zzd is f0zzq":   "[F0ZZD F0ZZQ] [f0zzq f0zzd] [] true",
		"correct: f0zzd was f0zzq.":      "[F0ZZD F0ZZQ] [f0zzq f0zzd] [] true",
		"call f0zzd should be f0zzq":     "[F0ZZD F0ZZQ] [f0zzq f0zzd] [] true",
		"Korrektur F0ZZD ist F0ZZQ":      "[F0ZZD F0ZZQ] [F0ZZQ F0ZZD] [] true",
		"change f0zzd to f0zzq":          "[F0ZZD F0ZZQ] [f0zzq f0zzd] [] true",
		"correct call of f0zzd to f0zzq": "[F0ZZD F0ZZQ] [f0zzq f0zzd] [] true",
		"f0zzd's grid was jn19":          "[F0ZZD] [jn19] [] false",
		"f0zzd grid is jn19":             "[F0ZZD] [jn19] [] false",
		"f0zzd to f0zzq":                 "",
		"correction hx7abc is jo33":      "[HX7ABC] [jo33] [] true",
		"hx7abc was jo33":                "[HX7ABC] [jo33] [] false",
		"oz0zze was in jo54 not jo55":    "[OZ0ZZE] [jo54] [JO55] true",
		"sp0zzq was jo83 on saturday":    "[SP0ZZQ] [jo83] [] false saturday",
		"sp0zzq was jo83 29 may wicket":  "[SP0ZZQ] [jo83] [] false 29 may wicket",
		"f0zzd is f0zzq jn19":            "[F0ZZD F0ZZQ] [f0zzq f0zzd] [JN19] true",
		"f0zzd from saturday was jn19":   "[F0ZZD] [jn19] [] false saturday",
		"f0zzd yesterday was jn19":       "[F0ZZD] [jn19] [] false yesterday",
		"f0zzd jn18 was jn19":            "[F0ZZD] [jn19] [JN18] true",
		"last one was jo55 not jo65":     "[] [jo55] [JO65] true",
		"the last was jo55":              "[] [jo55] [] true",
		"last call f0zzq not f0zzd":      "[F0ZZD] [f0zzq] [] true",
		"last one jo55":                  "[] [jo55] [] true",
		"last one was loud":              "",
		"it was hx7kzp":                  "[] [hx7kzp] [] false",
		"jo43 is di4zab":                 "[] [di4zab] [JO43] false",
		"it was windy":                   "",
		"last one at 12:25":              "[] [12:25] [] true",
		"the last was 57":                "[] [rst 57] [] true",
		"last contact name is anna":      "[] [name anna] [] true",
		"last hx7abc jo33":               "",
		"f0zzd report 57":                "[F0ZZD] [rst 57] [] false",
		"f0zzd at 9:47":                  "[F0ZZD] [9:47] [] false",
		"f0zzd 9:47":                     "",
		"drop f0zzq from saturday":       "[F0ZZQ] [] [] true saturday",
		"drop f0zzq":                     "[F0ZZQ] [] [] true",
		"drop f0zzq, it was not him":     "[F0ZZQ] [] [] true",
		"no i meant f0zzd is jn16":       "[F0ZZD] [jn16] [] false",
		"f0zzd name is anna":             "[F0ZZD] [name anna] [] false",
		"f0zzd is called anna maria":     "[F0ZZD] [name anna maria] [] false",
		"der name von f0zzd ist anna":    "[F0ZZD] [name anna] [] false",
		"f0zzd was 55 not 59":            "[F0ZZD] [rst 55] [] false",
		"F0ZZD war um 10:43":             "[F0ZZD] [10:43] [] false",
		"g7zzb was on hayloft":           "[G7ZZB] [] [] false hayloft/",
		"g7zzb jo22 was wicket":          "[G7ZZB] [jo22] [] false wicket/",
		"g7zzb on hayloft not wicket":    "",
		"g7zzb was hayloft, not wicket":  "[G7ZZB] [] [] false hayloft/wicket",
		"g7zzb not on wicket, hayloft":   "[G7ZZB] [] [] false hayloft/wicket",
		"oops that was wicket":           "[] [] [] false wicket/",
		"the hayloft one was on wicket":  "[] [] [] false wicket/hayloft",
		"that was wicket":                "",
		"g7zzb was not on wicket":        "[G7ZZB] [] [] false /wicket",
		"oops io91 was wrong its io92":   "[] [io92] [IO91] true",
		"io91 ist falsch, es ist io92":   "[] [io92] [IO91] true",
		"f0zzd was very loud":            "",
		"f0zzd jn18":                     "",
		"f0zzd not f0zzq":                "",
		"3 is f0zzq":                     "",
		"the bird was loud":              "",
		"windy here":                     "",
	} {
		n, ok := namedOf(line)
		got := strings.TrimSpace(fmt.Sprint(n.Calls, " ", n.Says, " ", n.Grids, " ", n.Sure, " ", n.Words))
		if n.IsBirded() {
			got = strings.TrimSpace(fmt.Sprint(n.Calls, " ", n.Says, " ", n.Grids, " ", n.Sure, " ", n.Bird+"/"+n.Off))
		}
		if ok != (want != "") || ok && got != want {
			t.Errorf("%q: %s, %v", line, got, ok)
		}
	}
	for answer, want := range map[string]string{
		"was jo83": "jo83", "it was jo83": "jo83", "call was f0zzq": "f0zzq", "his grid is jo33": "jo33", "jo33": "jo33", "was": "was",
	} {
		if got := WithoutIs(answer); got != want {
			t.Errorf("%q: %q", answer, got)
		}
	}
}

// Berlin is two hours ahead of UTC in May and one in November (the European Union's
// directive 2000/84/EC).
func TestInUTC(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	may, november := time.Date(2027, 5, 23, 12, 0, 0, 0, time.UTC), time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		text string
		at   time.Time
		want string
	}{
		{"hx7abc jo33 15:00 local", may, "hx7abc jo33 13:00"},
		{"hx7abc jo33 1500 local", november, "hx7abc jo33 14:00"},
		{"15:00 local hx7abc jo33", may, "13:00 hx7abc jo33"},
		{"15.00 Uhr Ortszeit", may, "13:00"},
		{"15h00 heure locale", may, "13:00"},
		{"slate 15:00:05 local", may, "slate 13:00:05"},
		{"00:30 local", may, "22:30"},
		{"15:00 utc", may, "15:00 utc"},
		{"hx7abc 1500 loc jo33", may, "hx7abc 1500 loc jo33"}, // a locator
		{"lt7abc jo33", may, "lt7abc jo33"},
		{"1500 lt7abc", may, "1500 lt7abc"},
		{"a local station", may, "a local station"},
	} {
		if got := InUTC(c.text, c.at, func(parse.Clock) *time.Location { return berlin }); got != c.want {
			t.Errorf("%q in %s: %q, want %q", c.text, c.at.Month(), got, c.want)
		}
		if HasLocal(c.text) != (c.want != c.text) {
			t.Errorf("%q: has a local time: %v", c.text, HasLocal(c.text))
		}
	}
}

func TestWithoutSame(t *testing.T) {
	for line, want := range map[string]string{
		"hx7abc same grid":           "hx7abc",
		"hx7abc same as before":      "hx7abc",
		"hx7abc same grid as before": "hx7abc",
		"same grid":                  "",
		"Hx7abc gleicher Locator":    "Hx7abc",
		"hx7abc mismo grid 59":       "hx7abc   59",
		"hx7abc onaji grid":          "hx7abc",
	} {
		if rest, same := WithoutSame(line); !same || rest != want {
			t.Errorf("%q: %q, %v", line, rest, same)
		}
	}
	for _, line := range []string{"hx7abc jo33", "all the same", "same here", "hx7abc the same op"} {
		if rest, same := WithoutSame(line); same {
			t.Errorf("%q: %q", line, rest)
		}
	}
}

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
		"report": func(form string) bool { return IsReport(form+" 57") && !IsReport(form+" was bad") },
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
		"lasttwo": func(form string) bool { return placed("drop "+form, FromLast, 1, 2) },
		"both":    func(form string) bool { return placed("drop "+form, OfTwo, 1, 2) },
		"before":  func(form string) bool { return placed(form+" was jo33", FromLast, 2) },
		"1":       func(form string) bool { return placed("the "+form+" one was jo33", FromFirst, 1) },
		"2":       func(form string) bool { return placed("drop the "+form+" one", FromFirst, 2) },
		"3":       func(form string) bool { return placed(form+" contact was jo33", FromFirst, 3) },
		"4":       func(form string) bool { return placed(form+" one is jo33", FromFirst, 4) },
		"5":       func(form string) bool { return placed(form+" one was jo33", FromFirst, 5) },
		"it":      func(form string) bool { return WithoutIs(form+" was jo33") == "jo33" },
		"first":   func(form string) bool { return Ordinal(form) == 1 },
		"second":  func(form string) bool { return Ordinal(form) == 2 },
		"yes":     func(form string) bool { yes, ok := YesOrNo(form + "."); return ok && yes },
		"nay":     func(form string) bool { yes, ok := YesOrNo(form + "!"); return ok && !yes },
		"same":    func(form string) bool { rest, same := WithoutSame("hx7abc " + form); return same && rest == "hx7abc" },
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

// A time of day as an answer.
func TestClockIn(t *testing.T) {
	for text, want := range map[string]string{
		"13:12": "13:12", " 1312z": "13:12", "13:12:05 UTC": "13:12:05", "23:59:60": "23:59:59", "235960": "23:59:59",
		"13:12:60": "", "24:00": "", "13:12 jo33": "",
	} {
		if got, ok := ClockIn(text); got.String() != want || ok != (want != "") {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

func TestOrdinal(t *testing.T) {
	for line, want := range map[string]int{
		"the first one": 1, "First one!": 1, "1st": 1, "der erste": 1, "the other": 2, "le deuxième": 2, "the second bird": 2,
		"first": 0, "the first one was hx7abc": 0, "hx7abc jo33": 0, "": 0,
	} {
		if got := Ordinal(line); got != want {
			t.Errorf("%q: %d, want %d", line, got, want)
		}
	}
}

// Figures alone are a report with the readability that is nearly always given, and no two
// figures of a grid, a minute or a number.
func TestBareReport(t *testing.T) {
	for text, want := range map[string]string{
		"59": "59", " 57! ": "57", "599": "599",
		"43": "", "5": "", "50": "", "5999": "", "59 anna": "", ":57": "", "": "",
	} {
		if got, ok := BareReport(text); got != want || ok != (want != "") {
			t.Errorf("%q: %q, %v, want %q", text, got, ok, want)
		}
	}
}

// minuteAgo reports whether words say that something was a minute ago.
func minuteAgo(words string) bool {
	at := time.Date(2027, 5, 23, 10, 44, 0, 0, time.UTC)
	return WithClocks("hx7abc "+words, at, nil) == "hx7abc 10:43"
}

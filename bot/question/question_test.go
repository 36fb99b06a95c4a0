package question

import (
	"slices"
	"strings"
	"testing"

	"skyslate/bot/glossary"
	"skyslate/bot/idiom"
)

var birds = Birds{
	Is: func(name string) bool {
		return slices.Contains([]string{"wicket-1", "wicket", "ao 123", "wicket-1 ?"}, name)
	},
	Names: []string{"WICKET-1", "WICKET", "AO-123"},
}

// Each form of the table has an example that it fits and a line near it that it
// doesn't; examples are read as what they ask.
func TestTable(t *testing.T) {
	for _, r := range rows {
		fits, misses := 0, 0
		for _, e := range r.examples {
			sign, line, _ := strings.Cut(e, " ")
			q, ok := Read(line, birds)
			itself := false
			for _, line := range []string{line, moments().ReplaceAllString(idiom.Plain(line), " ")} {
				words, _ := withoutGrids(strings.Fields(politely.ReplaceAllString(joined(fold(line)), "")))
				words, _ = replaced(words, 1, "CALL", callForm.MatchString)
				words, _ = replaced(words, 2, "BIRD", birds.Is)
				termed, _ := replaced(words, 3, "TERM", isTerm)
				itself = itself || r.form().MatchString(joined(words)) || r.form().MatchString(joined(termed))
			}
			switch sign {
			case "+":
				fits++
				if !ok || q.Kind != r.asks.Kind || !itself {
					t.Errorf("%q: read as %q, %v; wanted %s by %s", line, q.Kind, ok, r.asks.Kind, r.form())
				}
			case "-":
				misses++
				if ok && q.Kind == r.asks.Kind && q.Words == r.asks.Words {
					t.Errorf("%q: read as %s", line, r.asks.Kind)
				}
			default:
				t.Errorf("%q has no sign", e)
			}
		}
		if r.asks.Kind == Means && r.asks.Words != "" && glossary.Meaning(r.asks.Words) == "" {
			t.Errorf("the glossary has no %q", r.asks.Words)
		}
		if fits == 0 || misses == 0 {
			t.Errorf("%s has no example, or none against it", r.form())
		}
	}
}

// What is told of contacts, and of the weather, asks nothing.
func TestNoQuestion(t *testing.T) {
	for _, line := range []string{
		"", "?", "hx7abc", "hx7abc jo33", "di4zab jo43?", "jo43?", "windy up here", "wicket-1", "12:24", "slate 10:42:05",
		"heard hx7abc", "59 anna", "was that bob", "no contact", "correction jo43", "name anna", "where it was nice", "now jo43",
		"what a signal", "wicket-1 now", "on wicket-1", "can hear wicket-1", "will try wicket-1", "e wicket-1", "o wicket-1 foi bom", "letzte", "was it him", "jo33?", "so what", "next time", "when hx7abc came back he had faded", strings.Repeat("where is it now ", 9),
	} {
		if q, ok := Read(line, birds); ok {
			t.Errorf("%q: read as %q of %q", line, q.Kind, q.Bird)
		}
	}
}

func TestBirdAskedAbout(t *testing.T) {
	for line, want := range map[string]Question{
		"wicket-1?":                             {Kind: Up, Bird: "wicket-1"},
		"was that wicket-1?":                    {Kind: Up, Bird: "wicket-1"},
		"wicket-2":                              {Kind: Up, Bird: "wicket-2"},
		"wickt":                                 {Kind: Up, Bird: "wickt"},
		"is wicket2 up?":                        {Kind: Up, Bird: "wicket2"},
		"show me the sky of wicket-1":           {Kind: "/look", Bird: "wicket-1"},
		"where is wicket-1 now?":                {Kind: Where, Bird: "wicket-1"},
		"When does AO 123 rise?":                {Kind: Next, Bird: "ao 123"},
		"hey, what frequency is wicket?":        {Kind: Radio, Bird: "wicket"},
		"please, where is it now":               {Kind: Where},
		"skip the wicket-1 at 12:21":            {Kind: Skip, Bird: "wicket-1 12:21"},
		"passes tonight?":                       {Kind: "/passes", Bird: "tonight"},
		"gibt es heute Abend einen Pass?":       {Kind: "/passes", Bird: "heute abend"},
		"¿hay pases esta tarde?":                {Kind: "/passes", Bird: "esta tarde"},
		"Pässe am Samstag":                      {Kind: "/passes", Bird: "samstag"},
		"¿cuál es el mejor pase de hoy?":        {Kind: Best, Bird: "hoy"},
		"y a-t-il un passage ce soir ?":         {Kind: "/passes", Bird: "ce soir"},
		"passaggi sabato":                       {Kind: "/passes", Bird: "sabato"},
		"há passagens amanhã à tarde?":          {Kind: "/passes", Bird: "amanha a tarde"},
		"when is the next pass tomorrow?":       {Kind: Next, Bird: "tomorrow"},
		"remind me of the 12:24":                {Kind: Arm, Bird: "12:24"},
		"i want the 12:24 one too":              {Kind: Arm, Bird: "12:24"},
		"recuérdame el de las 12:24":            {Kind: Arm, Bird: "12:24"},
		"we are in jo33 not jo43":               {Kind: Move, Grids: "jo33"},
		"i'm in jo33 today instead of jo43":     {Kind: Move, Grids: "jo33"},
		"what can i work from jo54 on saturday": {Kind: "/outing", Words: "jo54", Bird: "saturday", Grids: "jo54"},
		"is there a pass on saturday":           {Kind: "/passes", Bird: "saturday"},
		"does OX7EC/P have me?":                 {Kind: "means", Words: "sharing", Call: "ox7ec/p"},
		"I'm on the line of jo62 and jo72":      {Kind: Move, Grids: "jo62 jo72"},
	} {
		if q, ok := Read(line, birds); !ok || q != want {
			t.Errorf("%q: %+v, %v", line, q, ok)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("¿dónde está wicket-1?")
	f.Fuzz(func(t *testing.T, line string) {
		if q, ok := Read(line, birds); ok && q.Kind == "" {
			t.Errorf("%q asks nothing", line)
		}
	})
}

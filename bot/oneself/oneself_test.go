package oneself

import (
	"strings"
	"testing"

	"skyslate/bot/question"
	"skyslate/parse"
)

var own = parse.MustParseCallsign("HX4MKO")

// What is said of oneself, in the languages of the table and with words of a correction
// before it, is read as that.
func TestRead(t *testing.T) {
	for line, want := range map[string]question.Question{
		"my call is HX4MKR":                                      {Kind: Call, Call: "HX4MKR"},
		"sorry, my call is hx4mkr":                               {Kind: Call, Call: "HX4MKR"},
		"No, my call sign is hx4mks!":                            {Kind: Call, Call: "HX4MKS"},
		"my call's hx4mks":                                       {},
		"my call is hx4mkr/p now":                                {Kind: Call, Call: "HX4MKR/P"},
		"my call is hotel xray four mike kilo papa":              {Kind: Call, Call: "HX4MKP"},
		"change my call to hx4mkv please":                        {Kind: Call, Call: "HX4MKV"},
		"change my call from hx4mko to hx4mkv":                   {Kind: Call, Call: "HX4MKV"},
		"my call is not hx4mko but hx4mkp":                       {Kind: Call, Call: "HX4MKP"},
		"my call isn't hx4mko, it's hx4mkp":                      {Kind: Call, Call: "HX4MKP"},
		"my call is hx4mkp, not hx4mko":                          {Kind: Call, Call: "HX4MKP"},
		"my call is not hx4mko":                                  {Kind: Call},
		"I am HX4MKP":                                            {Kind: Call, Call: "HX4MKP"},
		"no i am hx4mku":                                         {Kind: Call, Call: "HX4MKU"},
		"hi, i am HX4MKO in JO54":                                {Kind: Call, Call: "HX4MKO", Grids: "JO54"},
		"Mein Rufzeichen ist HX4MKT":                             {Kind: Call, Call: "HX4MKT"},
		"nein, mein Rufzeichen ist nicht HX4MKO, sondern HX4MKT": {Kind: Call, Call: "HX4MKT"},
		"ich bin hx4mkt":                                         {Kind: Call, Call: "HX4MKT"},
		"mi indicativo es hx4mkp":                                {Kind: Call, Call: "HX4MKP"},
		"perdón, mi indicativo es hx4mkp":                        {Kind: Call, Call: "HX4MKP"},
		"mon indicatif est hx4mkp":                               {Kind: Call, Call: "HX4MKP"},
		"il mio nominativo è hx4mkp":                             {Kind: Call, Call: "HX4MKP"},
		"o meu indicativo é hx4mkp":                              {Kind: Call, Call: "HX4MKP"},
		"watashi no koorusain wa hx4mkp desu":                    {Kind: Call, Call: "HX4MKP"},
		"my call is hx4mkp?":                                     {Kind: MaybeCall, Call: "HX4MKP"},
		"call hx4mkp":                                            {Kind: MaybeCall, Call: "HX4MKP"},
		"this is hx4mkp":                                         {Kind: MaybeCall, Call: "HX4MKP"},
		"typo: my call is hx4mkp":                                {Kind: Call, Call: "HX4MKP"},
		"my call is hx4mkp, typo":                                {Kind: Call, Call: "HX4MKP"},
		"hx4mkp is my call":                                      {Kind: Call, Call: "HX4MKP"},
		"sorry, hx4mkp ist mein Rufzeichen":                      {Kind: Call, Call: "HX4MKP"},
		"jo54 is my grid":                                        {Kind: question.Move, Grids: "jo54"},
		"i was wrong, my grid is jo54":                           {Kind: question.Move, Grids: "jo54"},
		"falscher Locator, ich bin in jo54":                      {Kind: question.Move, Grids: "jo54"},
		"i forgot to tell you i'm in jo54 not at home":           {Kind: question.Move, Grids: "jo54"},
		"hx4mkp is my friend":                                    {},
		"jo54 is his grid":                                       {},
		"falsch, jo54":                                           {},
		"no, my grid is jo54":                                    {Kind: question.Move, Grids: "jo54"},
		"sorry, i am in jo54 now":                                {Kind: question.Move, Grids: "jo54"},
		"nein, mein locator ist jo54":                            {Kind: question.Move, Grids: "jo54"},
		"my home is jo55":                                        {Kind: Home, Grids: "jo55"},
		"no my home is jo55":                                     {Kind: Home, Grids: "jo55"},
		"ich wohne in JO54":                                      {Kind: Home, Grids: "jo54"},
		"vivo en jo54 y jo55":                                    {Kind: Home, Grids: "jo54 jo55"},
		"my grid is jo54":                                        {}, // a question's form
		"call ox7ec":                                             {},
		"call hx4mko":                                            {}, // as is
		"this is ox7ec":                                          {},
		"call ox7ec jo45":                                        {},
		"he is hx4mkp":                                           {},
		"his call is hx4mkp":                                     {},
		"hx4mkp":                                                 {},
		"no hx4mkp":                                              {},
		"i am in jo33 hx7abc":                                    {},
		"i am hx4mkp and he is hx7abc":                           {},
		"my call was heard by hx7abc":                            {},
		"i am on hayloft":                                        {},
		"no, di4zab jo54":                                        {},
		"my home town":                                           {},
		"":                                                       {},
		strings.Repeat("my call is hx4mkr ", 9):                  {},
	} {
		got, ok := Read(line, own)
		if ok != (want.Kind != "") || ok && got != want {
			t.Errorf("%q: %+v, %v; wanted %+v", line, got, ok, want)
		}
	}
}

func TestIntroduced(t *testing.T) {
	for line, want := range map[string]string{
		"HX4MKO": "hx4mko", "hx4mko jo54": "hx4mko jo54", "hi, i am HX4MKO in JO54": "HX4MKO JO54",
		"my call is hx4mko": "HX4MKO", "Hello, HX4MKO": "hx4mko", "hx4mko/p jo54 and jo55": "hx4mko/p jo54 jo55",
		"jo54kj": "", "jo54": "", "f0zza jn18 was jn19": "", "di4zab jo43 59": "", "hello": "", "": "",
	} {
		call, grids, ok := Introduced(line)
		if got := strings.TrimSpace(call + " " + grids); ok != (want != "") || ok && got != want {
			t.Errorf("%q: %q, %v; wanted %q", line, got, ok, want)
		}
	}
}

func TestGrids(t *testing.T) {
	for line, want := range map[string]string{
		"jo54": "jo54", "JO54kj": "jo54kj", "actually it's jo55": "jo55", "no, jo54": "jo54", "jo54 and jo55": "jo54 jo55", "nein, in jo54": "",
		"di4zab jo43": "", "jo54 or jo55": "", "and": "", "": "",
	} {
		if got := Grids(line); got != want {
			t.Errorf("%q: %q, wanted %q", line, got, want)
		}
	}
}

func TestApart(t *testing.T) {
	for line, want := range map[string]bool{
		"near jo54 or maybe jo55, not sure": true, "jo54 oder jo55": true, "jo54 not jo55": true, "jo54? jo55": false,
		"jo54 jo55": false, "JO62, JO72 and ZZ9": false, "jo62 zz9 jo72": false, "ip62/ip63": false, "on the line of ip62 and ip63": false, "jo54 perhaps": false, "": false,
	} {
		if got := Apart(line); got != want {
			t.Errorf("%q: %v, wanted %v", line, got, want)
		}
	}
}

func TestHasNone(t *testing.T) {
	for _, line := range []string{
		"I don't have a call yet", "i only listen", "no licence yet", "I'm not licensed yet", "ich habe noch kein Rufzeichen", "ich höre nur zu",
		"todavía no tengo indicativo", "solo escucho", "je n'ai pas encore d'indicatif", "non ho ancora un nominativo", "ainda não tenho indicativo", "sorry, no call",
	} {
		if !HasNoCall(line) {
			t.Errorf("%q is not read as having no call", line)
		}
	}
	for _, line := range []string{
		"I don't know exactly", "not sure", "no idea", "weiß ich nicht genau", "weiss nicht", "keine Ahnung", "no sé mi locator", "no lo sé",
		"je ne sais pas", "non lo so", "não sei", "wakarimasen",
	} {
		if !KnowsNoGrid(line) {
			t.Errorf("%q is not read as knowing no grid", line)
		}
	}
	for _, line := range []string{"hi there", "Hello", "guten Tag", "¡hola!", "bom dia"} {
		if !Greets(line) {
			t.Errorf("%q is no greeting", line)
		}
	}
	for _, line := range []string{"hx4mko", "jo54", "no", "hi hx4mko", "near the sea", "i listen to di4zab", ""} {
		if HasNoCall(line) || KnowsNoGrid(line) || Greets(line) {
			t.Errorf("%q is read as having none, or as a greeting", line)
		}
	}
}

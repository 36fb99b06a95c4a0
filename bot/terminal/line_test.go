package terminal

import (
	"errors"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"

	"github.com/google/go-cmp/cmp"
)

func TestParseLine(t *testing.T) {
	place := func(lat, lon, acc float64, live bool) command {
		return command{verb: place, spot: event.Spot{LatDeg: lat, LonDeg: lon, AccuracyM: acc, Live: live}}
	}
	for _, tt := range []struct {
		line string
		want command
	}{
		{`HX7KZQ IP62`, command{verb: say, text: "HX7KZQ IP62"}},
		{` ~ 90s`, command{verb: say, text: " ~ 90s"}}, // it does not begin with ~
		{`one\ntwo`, command{verb: say, text: "one\ntwo"}},
		{`one\\ntwo`, command{verb: say, text: `one\ntwo`}},
		{`one\\\ntwo`, command{verb: say, text: `one\\ntwo`[:4] + `\ntwo`}},
		{`C:\temp\`, command{verb: say, text: `C:\temp\`}},
		{`~ 90s`, command{verb: pass, length: 90 * time.Second}},
		{`~90s`, command{verb: pass, length: 90 * time.Second}},
		{`~ 10m`, command{verb: pass, length: 10 * time.Minute}},
		{`~ 1h30m`, command{verb: pass, length: 90 * time.Minute}},
		{`~ 1h 30m`, command{verb: pass, length: 90 * time.Minute}},
		{`~ until 2027-05-23T10:44:00Z`, command{verb: until, at: time.Date(2027, 5, 23, 10, 44, 0, 0, time.UTC)}},
		{`~ until 2027-05-23T11:44:00.5+01:00`, command{verb: until, at: time.Date(2027, 5, 23, 10, 44, 0, 5e8, time.UTC)}},
		{`~ edit 3 IP62 HX7KZQ`, command{verb: edit, about: 3, text: "IP62 HX7KZQ"}},
		{`~ edit m3 a\nb`, command{verb: edit, about: 3, text: "a\nb"}},
		{`~ reply 3 IP62`, command{verb: reply, about: 3, text: "IP62"}},
		{`~ reply b7 IP62`, command{verb: reply, about: -7, text: "IP62"}},
		{`~ relay IP62\nHX7KZQ`, command{verb: relay, text: "IP62\nHX7KZQ"}},
		{`~ tap b7 Skip this`, command{verb: tap, about: -7, text: "Skip this"}},
		{`~ tap 7 2`, command{verb: tap, about: -7, text: "2"}},
		{`~ place 62.5,-7`, place(62.5, -7, 0, false)},
		{`~ place 62.5,-7,12.5`, place(62.5, -7, 12.5, false)},
		{`~ place -90,180,3 live`, place(-90, 180, 3, true)},
		{`~ file my log.adi`, command{verb: file, text: "my log.adi"}},
		{`~ voice 4`, command{verb: voice, length: 4 * time.Second}},
		{`~ offline`, command{verb: offline}},
		{`~	online `, command{verb: online}},
	} {
		got, err := parseLine(tt.line)
		if err != nil {
			t.Errorf("%s: %v", tt.line, err)
			continue
		}
		if d := cmp.Diff(tt.want, got, cmp.AllowUnexported(command{})); d != "" {
			t.Errorf("%s: (-want +got)\n%s", tt.line, d)
		}
	}
}

func TestSpeaker(t *testing.T) {
	for line, want := range map[string][2]string{
		"HX7KZQ IP62":          {"local", "HX7KZQ IP62"},
		"@anna HX7KZQ IP62":    {"anna", "HX7KZQ IP62"},
		"@anna ~ tap b1 Undo":  {"anna", "~ tap b1 Undo"},
		"@Anna-2\t/log":        {"Anna-2", "/log"},
		"@local @anna, hello":  {"local", "@anna, hello"},
		"@anna":                {"local", "@anna"},
		"@anna ":               {"local", "@anna "},
		"@1043 HX7KZQ":         {"local", "@1043 HX7KZQ"}, // a time
		"@ 10:43 HX7KZQ":       {"local", "@ 10:43 HX7KZQ"},
		"~ edit 1 @anna hello": {"local", "~ edit 1 @anna hello"},
	} {
		who, said := speaker(line)
		if got := [2]string{string(who), said}; got != want {
			t.Errorf("%q: %q, want %q", line, got, want)
		}
	}
}

func TestParseLineRefuses(t *testing.T) {
	for line, hint := range map[string]string{
		`~`:                                 "one of: ~ 90s",
		`~ ninety`:                          "one of: ~ 90s",
		`~ -5m`:                             "above zero",
		`~ 0s`:                              "above zero",
		`~ 999999999h`:                      "one of: ~ 90s",
		`~ until tomorrow`:                  "2026-11-24T17:30:00Z",
		`~ until 2027-05-23T10:44:00`:       "2026-11-24T17:30:00Z",
		`~ until`:                           "2026-11-24T17:30:00Z",
		`~ edit 3`:                          "~ edit N TEXT",
		`~ edit x3 text`:                    "m3 for the operator's",
		`~ edit b3 text`:                    "can't be edited from the phone",
		`~ edit 0 text`:                     "m3 for the operator's",
		`~ edit -3 text`:                    "m3 for the operator's",
		`~ reply`:                           "m3 for the operator's",
		`~ reply 3`:                         "~ reply N TEXT",
		`~ reply 99999999999999999999 text`: "m3 for the operator's",
		`~ relay`:                           "~ relay TEXT",
		`~ tap m3 1`:                        "one of the bot's posts",
		`~ tap b3`:                          "~ tap POST BUTTON",
		`~ place`:                           "~ place LAT,LON",
		`~ place 91,0`:                      "latitude -90 to 90",
		`~ place 0,181`:                     "longitude -180 to 180",
		`~ place NaN,0`:                     "~ place LAT,LON",
		`~ place 0,0,-1`:                    "~ place LAT,LON",
		`~ place 0,0,Inf`:                   "~ place LAT,LON",
		`~ place 0,0,1,2`:                   "~ place LAT,LON",
		`~ place 62.5`:                      "~ place LAT,LON",
		`~ place 62.5, -7`:                  "~ place LAT,LON",
		`~ place 62.5,-7 alive`:             "~ place LAT,LON",
		`~ file`:                            "~ file PATH",
		`~ voice`:                           "~ voice SECONDS",
		`~ voice 0`:                         "~ voice SECONDS",
		`~ voice 1.5`:                       "~ voice SECONDS",
		`~ offline now`:                     "nothing after",
	} {
		c, err := parseLine(line)
		var le *LineError
		if !errors.As(err, &le) {
			t.Errorf("%s: got %+v and error %v, want a LineError", line, c, err)
			continue
		}
		if !strings.Contains(err.Error(), hint) {
			t.Errorf("%s: the error does not help: want %q in %q", line, hint, err)
		}
	}
}

func TestLineErrorNamesItsLine(t *testing.T) {
	wrong := func(line string) error { return expected(line, "a number from %d", 1) }
	var out strings.Builder
	if err := (&screen{out: &out, terminal: true}).follow(input{number: 12, text: "x"}, wrong); err != nil {
		t.Errorf("a mistake ends the chat of one who types: %v", err)
	}
	if want := "(not done: found \"x\", expected a number from 1)\n"; out.String() != want {
		t.Errorf("got %q, want %q", out.String(), want)
	}
	err := (&screen{}).follow(input{number: 12, text: "x"}, wrong)
	if want := `line 12: found "x", expected a number from 1`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// Every line is either understood or refused with a sentence; what is not for
// the phone is a message, and no text is lost from it.
func FuzzParseLine(f *testing.F) {
	for _, s := range []string{
		"HX7KZQ IP62", `a\nb\\n`, "~ 90s", "~ until 2027-05-23T10:44:00Z", "~ edit m3 text",
		"~ reply b7 text", "~ tap b7 1", "~ place 1,2,3 live", "~ file a b", "~ voice 3", "~ offline", "~", "~ \xff",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		c, err := parseLine(line)
		if !strings.HasPrefix(line, "~") {
			back := strings.NewReplacer(`\n`, `\\n`, "\n", `\n`).Replace(c.text)
			if err != nil || c.verb != say || !strings.Contains(line, "\n") && back != line {
				t.Errorf("%q: message %q, back as %q, error %v", line, c.text, back, err)
			}
			return
		}
		var le *LineError
		if err != nil && (!errors.As(err, &le) || le.Expected == "") {
			t.Errorf("%q: error %v says nothing", line, err)
		}
		if err == nil && c.verb == say {
			t.Errorf("%q: understood as a message", line)
		}
	})
}

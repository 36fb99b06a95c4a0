package memo

import (
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/parse"
)

// What a memo reads is what would be read without one, whatever was read before with
// other knowledge. All calls are invented.
func TestMemo(t *testing.T) {
	if n := reflect.TypeFor[parse.Known]().NumField(); n != 13 {
		t.Fatalf("parse.Known has %d fields: those that are new count in reading.holds", n)
	}
	di4zab, ox7ec := parse.MustParseCallsign("DI4ZAB"), parse.MustParseCallsign("OX7EC")
	jo33, jo43 := parse.MustParseGrid("JO33"), parse.MustParseGrid("JO43")
	rapid.Check(t, func(r *rapid.T) {
		var kept Readings
		for range 20 {
			some := func(label string) bool { return rapid.Bool().Draw(r, label) }
			text := rapid.SampledFrom([]string{
				"DI4ZAB JO43", "DI4ZAB", "JO43", "..ZAB JO33", "OX7EC JO3", "K12QX JO33", "OX7EC J033", "WICKET-1", "59 OX7EC 2026-09-01",
				"heard DI4ZAB", "HX7ABC JO33\nDI4ZAB ssb", "no, JO33", "have I worked OX7EC",
			}).Draw(r, "text")
			var k parse.Known
			if some("own") {
				k.Own, k.OwnGrids = ox7ec, []parse.Grid{jo43}
			}
			if some("birds") {
				k.Birds = []string{"WICKET-1"}
			}
			if k.Linear = some("linear"); some("heard") {
				k.Heard = []parse.Station{{Call: di4zab, Grids: []parse.Grid{jo33}}}
			}
			if some("expected") {
				k.Expected = []parse.Station{{Call: ox7ec}}
			}
			if some("date") {
				k.Date = parse.DateOf(time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC))
			}
			if some("under") {
				k.Under = parse.Header{Why: parse.Doubted}
			}
			known, in := some("known"), some("in")
			if some("functions") {
				k.Confirmed = func(parse.Callsign) bool { return known }
				k.Worked = func(parse.Callsign) []parse.Grid { return []parse.Grid{jo33, jo43}[:map[bool]int{true: 2}[known]] }
				k.Suffix = func(string) []parse.Callsign { return []parse.Callsign{di4zab, ox7ec}[:map[bool]int{true: 1}[known]] }
				k.Prefix = k.Suffix
				k.Reachable = func(g parse.Grid) bool { return in == (g == jo33) }
			}
			if got, want := kept.Read(text, k), parse.Read(text, k); !reflect.DeepEqual(got, want) {
				r.Fatalf("%q is read as %+v, and without a memo as %+v", text, got, want)
			}
		}
	})
}

package named

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/parse/slip"
	"skyslate/storage/block"
	"skyslate/storage/table"
	"skyslate/storage/table/tabletest"
)

var layout = table.Layout{"callers": block.Any, "named": block.Any}

var t0 = time.Date(2026, 9, 1, 13, 0, 0, 0, time.UTC)

// Callers are found by their call and by those that are off by up to two symbols, as a
// search through all of them would find them.
func TestCallersAreFoundAsASearchFindsThem(t *testing.T) {
	aCall := rapid.StringOfN(rapid.SampledFrom([]rune("AB1")), 3, 6, -1)
	rapid.Check(t, func(r *rapid.T) {
		calls, asked := rapid.SliceOfN(aCall, 1, 8).Draw(r, "calls"), aCall.Draw(r, "asked")
		tabletest.Update(t, layout, func(x *table.Tx) {
			var by, near, begin, end []Caller
			head, tail := asked[:2], asked[len(asked)-2:]
			for i, call := range calls {
				c := Caller{call, fmt.Sprint(i), t0}
				for _, k := range c.Keys() {
					x.In("callers").Mark(k)
				}
				if call == asked {
					by = append(by, c)
				}
				if slip.Slips(call, asked) <= 2 {
					near = append(near, c)
				}
				if strings.HasPrefix(call, head) {
					begin = append(begin, c)
				}
				if strings.HasSuffix(call, tail) {
					end = append(end, c)
				}
			}
			sorted := func(all []Caller) []Caller {
				return slices.SortedFunc(slices.Values(all), func(a, b Caller) int { return strings.Compare(a.Operator, b.Operator) })
			}
			if got := sorted(Beginning(x.In("callers"), head)); !slices.Equal(got, begin) {
				r.Fatalf("beginning with %s: %v, want %v", head, got, begin)
			}
			if got := sorted(Ending(x.In("callers"), tail)); !slices.Equal(got, end) {
				r.Fatalf("ending in %s: %v, want %v", tail, got, end)
			}
			if got := By(x.In("callers"), asked); !slices.Equal(got, by) {
				r.Fatalf("by %s: %v, want %v", asked, got, by)
			}
			if got := Near(x.In("callers"), asked); !slices.Equal(got, near) {
				r.Fatalf("near %s: %v, want %v", asked, got, near)
			}
		})
	})
}

func TestContactsOfACallAndATime(t *testing.T) {
	tabletest.Update(t, layout, func(x *table.Tx) {
		b := x.In("named")
		for i, call := range []string{"OX9QZ", "OX9QZT", "OX9QZT", "OX9QZT", "OX9QZTA", "OX9QZT"} {
			b.Mark(Key(call, t0.Add(time.Duration(i)*time.Minute), "@a:b", uint64(i)))
		}
		var found []string
		Visit(b, "OX9QZT", t0.Add(2*time.Minute), t0.Add(5*time.Minute), func(op string, id uint64) bool {
			found = append(found, fmt.Sprint(op, id))
			return true
		})
		if want := []string{"@a:b2", "@a:b3"}; !slices.Equal(found, want) {
			t.Errorf("found %v, want %v", found, want)
		}
	})
}

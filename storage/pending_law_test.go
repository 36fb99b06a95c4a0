package storage

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"skyslate/storage/queue"
)

// known is what is pending as the store tells it, but for the turns and what is handed
// out, which a restart forgets.
func (s *Store) known(r *rapid.T, now time.Time) map[string]any {
	counts, err := s.Counts(now)
	if err != nil {
		r.Fatal(err)
	}
	places := map[string]string{}
	for op := range 3 {
		for n := range 4 {
			p := Post{Operator: OperatorID(fmt.Sprint(op + 1)), Op: Edit, ReplyTo: int64(n)}
			p.Target = fmt.Sprintf("%s/send%d", p.Operator, n)
			places[fmt.Sprint("edit of ", p.Target)], _ = s.pending.OwedAt(placeOf(p), queue.News{})
			p.Op = React
			places[fmt.Sprint("reaction of ", op, " to ", n)], _ = s.pending.OwedAt(placeOf(p), queue.News{})
		}
	}
	classes := map[Class]int{}
	for _, c := range sendingOrder {
		classes[c] = s.OwedOf(c)
	}
	return map[string]any{"owed": s.pending.All(), "counts": counts, "places": places, "classes": classes}
}

// TestPendingFollows: after each step of a random history what is known in memory
// is what a new start would read, and an edit is out after its post alone.
func TestPendingFollows(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s, err := Open(t.TempDir())
		if err != nil {
			r.Fatal(err)
		}
		defer s.Close()
		must := func(err error) {
			if err != nil {
				r.Fatal(err)
			}
		}
		now, events := time.Unix(1_800_000_000, 0).UTC(), 0
		out := map[string]bool{}
		under := map[OperatorID]string{}
		someone := func() OperatorID { return OperatorID(rapid.SampledFrom([]string{"1", "2", "3"}).Draw(r, "operator")) }
		r.Repeat(map[string]func(*rapid.T){
			"owe": func(r *rapid.T) {
				op, c := someone(), Changes{}
				for range rapid.IntRange(1, 3).Draw(r, "posts") {
					p := Post{Operator: op, Op: rapid.SampledFrom([]Op{Send, Edit, React}).Draw(r, "op"), Made: now}
					n := rapid.IntRange(0, 3).Draw(r, "number")
					p.Name = fmt.Sprintf("%s/%s%d", op, p.Op, n)
					p.Class = rapid.SampledFrom(sendingOrder).Draw(r, "class")
					switch p.Op {
					case Edit:
						p.Target = fmt.Sprintf("%s/send%d", op, n)
						p.Name = p.Target + "/edit"
					case React:
						p.ReplyTo = int64(n / 2) // two names for one message
					}
					if rapid.Bool().Draw(r, "may be late") {
						p.NotAfter = now.Add(time.Duration(rapid.IntRange(0, 20).Draw(r, "minutes")) * time.Minute)
					}
					c.Posts = append(c.Posts, p)
				}
				events++
				c.Operator = &Operator{ID: op}
				must(s.Commit(fmt.Sprint("e", events), now, c))
			},
			"take": func(r *rapid.T) {
				now = now.Add(time.Minute)
				p, ok, err := s.TakeOwed(now)
				must(err)
				if !ok {
					return
				}
				if under[p.Operator] != "" {
					r.Fatalf("%s goes out beside %s", p.Name, under[p.Operator])
				}
				if !p.NotAfter.IsZero() && now.After(p.NotAfter) {
					r.Fatalf("%s goes out too late", p.Name)
				}
				target, _, _ := strings.Cut(p.Target, "#") // it has another name if its own was used again
				if p.Op == Edit && !out[target] {
					r.Fatalf("%s overtakes %s", p.Name, p.Target)
				}
				under[p.Operator] = p.Name
			},
			"settle": func(r *rapid.T) {
				op := someone()
				if name := under[op]; name != "" {
					events++
					must(s.Settle(name, fmt.Sprint(events), now))
					out[name] = true
				}
				delete(under, op)
				s.Release(op)
			},
			"fail": func(r *rapid.T) {
				op := someone()
				if name := under[op]; name != "" && rapid.Bool().Draw(r, "for good") {
					must(s.Fail(name, "no", now))
				}
				delete(under, op)
				s.Release(op)
			},
			"accept": func(r *rapid.T) {
				events++
				must(s.Accept(nil, Raw{ID: fmt.Sprint("m", events), From: someone()}))
			},
			"work": func(r *rapid.T) {
				raw, ok, err := s.Oldest()
				must(err)
				if ok {
					must(s.Commit(raw.ID, now, Changes{}))
				}
			},
			"forget": func(r *rapid.T) {
				op := someone()
				must(s.forgetOwn(op))
			},
			"": func(r *rapid.T) {
				fresh := &Store{file: s.file}
				must(fresh.learn())
				if diff := cmp.Diff(fresh.known(r, now), s.known(r, now)); diff != "" {
					r.Fatalf("what is known differs from what is there (-there +known):\n%s", diff)
				}
			},
		})
	})
}

//go:build unix

package bot

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/filing"
	"skyslate/storage"
)

// lines are n lines with a contact each, of stations that no line before named;
// how puts a call and a grid into a line.
func (f *field) lines(n int, how func(call, grid string, n int) string) string {
	var lines []string
	for range n {
		f.calls++
		call := fmt.Sprintf("OX%d%c%c%c", f.calls/13824%10, 'A'+f.calls/576%24, 'A'+f.calls/24%24, 'A'+f.calls%24)
		lines = append(lines, how(call, fmt.Sprintf("JO%d%d", 3+f.calls/10%3, f.calls%10), f.calls))
	}
	return strings.Join(lines, "\n")
}

func plain(call, grid string, _ int) string { return call + " " + grid }

// processorTime is what the process has used of its processors so far. It says more
// than the wall clock where the machine has other work.
func processorTime(b *testing.B) time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// One more message of an operator with sixty contacts on the pass, each told in a
// message of its own: planned and committed, on a disk. What it waits for the disk
// is no work of the processor, so that is reported apart (budget 5 ms, the median).
func BenchmarkSixtyContacts(b *testing.B) {
	const first, last = 55, 65 // contacts that stand before a message that counts
	var f *field
	var spent []time.Duration
	n := last
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		if n == last {
			f = newField(b, "2026-09-01T13:13:00Z") // OCHRE-1 is up until 13:23:46
			n = first
			for range first {
				f.until(f.now.Add(9 * time.Second))
				f.say(f.lines(1, plain))
			}
		}
		f.until(f.now.Add(9 * time.Second))
		f.sent++
		raw, err := event.Encode(event.Event{
			Kind: event.Said, Operator: "7", At: f.now, ID: fmt.Sprint("sixty", f.sent), Message: f.sent, Text: f.lines(1, plain),
		})
		f.must(err)
		f.must(f.desk.Accept(nil, raw))
		b.StartTimer()
		before := processorTime(b)
		_, err = f.desk.Work(f.now)
		spent = append(spent, processorTime(b)-before)
		b.StopTimer()
		f.must(err)
		f.deliver()
		n++
		if all := f.contacts(); len(all) != n || all[n-1].State != storage.Certain {
			b.Fatalf("%d contacts, want %d, all certain", len(all), n)
		}
		b.StartTimer()
	}
	slices.Sort(spent)
	b.ReportMetric(float64(spent[len(spent)/2].Microseconds())/1000, "cpu-ms")
	b.ReportMetric(float64(spent[0].Microseconds())/1000, "least-cpu-ms")
}

// A plan holds up every other operator: of all that a heap of a thousand lines
// brings the slowest plan counts (budget 100 ms). Messages of 4,096 characters hold
// about 341 lines.
func BenchmarkHeap(b *testing.B) {
	for name, how := range map[string]func(call, grid string, n int) string{
		"plain":    plain,
		"one grid": func(call, _ string, _ int) string { return call + " JO43" },
		"bare":     func(call, _ string, _ int) string { return call },
		"times":    func(call, grid string, n int) string { return fmt.Sprintf("%s %s 13%02d", call, grid, 13+n%10) },
		"birds":    func(call, grid string, _ int) string { return call + " " + grid + " OCHRE-1" },
		"offsets":  func(call, grid string, n int) string { return fmt.Sprintf("%s %s +%d:%02d", call, grid, n%9, n%60) },
	} {
		b.Run(name, func(b *testing.B) {
			quiet, cpu := map[string]time.Duration{}, map[string]time.Duration{} // the least of each step
			for b.Loop() {
				for step, took := range heapSteps(b, how) {
					if least, ok := quiet[step]; !ok || took.wall < least {
						quiet[step] = took.wall
					}
					if least, ok := cpu[step]; !ok || took.cpu < least {
						cpu[step] = took.cpu
					}
				}
			}
			for unit, all := range map[string]map[string]time.Duration{"slowest-ms": quiet, "slowest-cpu-ms": cpu} {
				steps := slices.SortedFunc(maps.Keys(all), func(x, y string) int { return cmp.Compare(all[y], all[x]) })
				b.ReportMetric(float64(all[steps[0]].Microseconds())/1000, unit)
				b.Logf("%s: %s", unit, strings.Join(steps, ", "))
			}
		})
	}
}

type stepTime struct{ wall, cpu time.Duration }

// heapSteps plans what follows of a heap and returns how long each plan took.
func heapSteps(b *testing.B, how func(call, grid string, n int) string) map[string]stepTime {
	f := newField(b, "2026-09-01T11:40:00Z")
	f.say("9B3TUX JO43")                 // so that the others are news
	f.until(utc("2026-09-01T17:00:00Z")) // OCHRE-1 has passed several times meanwhile
	steps := map[string]stepTime{}
	step := func(name string, e event.Event) {
		f.sent++
		e.Operator, e.At, e.Now, e.ID = "7", f.now, f.now, fmt.Sprint("bench", f.sent)
		if e.Kind == event.Said {
			e.Message = f.sent
		}
		op := f.operator()
		op.Flow = storage.Flow{} // no limit stands in the way
		f.must(f.store.Commit("flow"+e.ID, f.now, storage.Changes{Operator: &op}))
		begun, before := time.Now(), processorTime(b)
		p, err := f.desk.plan(e)
		steps[name] = stepTime{time.Since(begun), processorTime(b) - before}
		f.must(err)
		f.must(f.store.Commit(e.ID, f.now, p.changes()))
		f.deliver()
	}
	for i := range 3 {
		step(fmt.Sprint("message ", i+1), event.Event{Kind: event.Said, Text: f.lines(341, how)})
	}
	all := f.contacts()
	if len(all) != 3*341+1 {
		b.Fatalf("%d contacts", len(all))
	}
	if rivals := all[1].Rivals; len(rivals) > 0 {
		step("answer", event.Event{Kind: event.Tapped, Data: passButton("", filing.DeliveryID(f.operator().Delivery.UnixMilli()), rivals[0]).Data})
	}
	step("bird", event.Event{Kind: event.Said, Text: "OCHRE-1"})
	step("one more", event.Event{Kind: event.Said, Text: "OX9QZT JO33"})
	step("edit", event.Event{Kind: event.Edited, Message: all[1].Message, Text: "OX9QZV JO34\n" + f.lines(300, how)})
	step("log", event.Event{Kind: event.Said, Text: "/log"})
	step("correct", event.Event{Kind: event.Said, Text: "/correct mygrid JO63"})
	step("done", event.Event{Kind: event.Tapped, Data: fmt.Sprintf("%s:%d:1", tapBulk, f.sent)})
	step("undo", event.Event{Kind: event.Said, Text: "/undo"})
	step("adif", event.Event{Kind: event.Said, Text: "/adif"})
	step("day", event.Event{Kind: event.Said, Text: "/day"})
	return steps
}

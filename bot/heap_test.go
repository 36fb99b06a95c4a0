package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
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

// A plan holds up every other operator: of all that a heap of a thousand lines
// brings the slowest plan counts, and the slowest commit. Messages of 4,096
// characters hold about 341 lines.
func BenchmarkHeap(b *testing.B) {
	for name, how := range map[string]func(call, grid string, n int) string{
		"plain":    func(call, grid string, _ int) string { return call + " " + grid },
		"one grid": func(call, _ string, _ int) string { return call + " JO43" },
		"bare":     func(call, _ string, _ int) string { return call },
		"times":    func(call, grid string, n int) string { return fmt.Sprintf("%s %s 13%02d", call, grid, 13+n%10) },
		"birds":    func(call, grid string, _ int) string { return call + " " + grid + " OCHRE-1" },
		"offsets":  func(call, grid string, n int) string { return fmt.Sprintf("%s %s +%d:%02d", call, grid, n%9, n%60) },
	} {
		b.Run(name, func(b *testing.B) {
			quiet := map[string]time.Duration{} // the shortest of each step: the machine has other work
			for b.Loop() {
				for step, took := range heapSteps(b, how) {
					if least, ok := quiet[step]; !ok || took < least {
						quiet[step] = took
					}
				}
			}
			slowest := ""
			for step, took := range quiet {
				if slowest == "" || took > quiet[slowest] {
					slowest = step
				}
			}
			b.ReportMetric(float64(quiet[slowest].Microseconds())/1000, "slowest-ms")
			b.Log("slowest: ", slowest)
		})
	}
}

// heapSteps plans what follows of a heap and returns how long each plan took.
func heapSteps(b *testing.B, how func(call, grid string, n int) string) map[string]time.Duration {
	f := newField(b, "2026-09-01T11:40:00Z")
	f.say("9B3TUX JO43")                 // so that the others are news
	f.until(utc("2026-09-01T17:00:00Z")) // OCHRE-1 has passed several times meanwhile
	steps := map[string]time.Duration{}
	step := func(name string, e event.Event) {
		f.sent++
		e.Operator, e.At, e.Now, e.ID = "7", f.now, f.now, fmt.Sprint("bench", f.sent)
		if e.Kind == event.Said {
			e.Message = f.sent
		}
		op := f.operator()
		op.Flow = storage.Flow{} // no limit stands in the way
		f.must(f.store.Commit("flow"+e.ID, f.now, storage.Changes{Operator: &op}))
		begun := time.Now()
		p, err := f.desk.plan(e)
		steps[name] = time.Since(begun)
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
		step("answer", event.Event{Kind: event.Tapped, Data: passButton("", f.operator().Delivery, rivals[0]).Data})
	}
	step("bird", event.Event{Kind: event.Said, Text: "OCHRE-1"})
	step("one more", event.Event{Kind: event.Said, Text: "OX9QZT JO33"})
	step("edit", event.Event{Kind: event.Edited, Message: all[1].Message, Text: "OX9QZV JO34\n" + f.lines(300, how)})
	step("log", event.Event{Kind: event.Said, Text: "/log"})
	step("correct", event.Event{Kind: event.Said, Text: "/correct grid JO63"})
	step("done", event.Event{Kind: event.Tapped, Data: fmt.Sprintf("%s:%d:1", tapBulk, f.sent)})
	step("undo", event.Event{Kind: event.Said, Text: "/undo"})
	step("adif", event.Event{Kind: event.Said, Text: "/adif"})
	step("day", event.Event{Kind: event.Said, Text: "/day"})
	return steps
}

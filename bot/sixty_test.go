//go:build unix

package bot

import (
	"fmt"
	"syscall"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/storage"
)

// One more message of an operator with sixty contacts on the pass, each told in a
// message of its own: planned and committed, on a disk. What it waits for the disk
// is no work of the processor, so that is reported apart (budget 5 ms).
func BenchmarkSixtyContacts(b *testing.B) {
	const first, last = 55, 65 // contacts that stand before a message that counts
	plain := func(call, grid string, _ int) string { return call + " " + grid }
	var f *field
	var spent time.Duration
	n := last
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		if n == last {
			f = newField(b, "2026-09-01T13:13:00Z") // OCHRE-1 is up until 13:23:46
			for n = 0; n < first; n++ {
				f.until(f.now.Add(9 * time.Second))
				f.say(f.lines(1, plain))
			}
		}
		f.until(f.now.Add(9 * time.Second))
		f.sent++
		e := event.Event{
			Kind: event.Said, Operator: "7", At: f.now, ID: fmt.Sprint("sixty", f.sent), Message: f.sent, Text: f.lines(1, plain),
		}
		raw, err := event.Encode(e)
		f.must(err)
		f.must(f.desk.Accept(nil, raw))
		b.StartTimer()
		before := processorTime(b)
		_, err = f.desk.Work(f.now)
		spent += processorTime(b) - before
		b.StopTimer()
		f.must(err)
		f.deliver()
		n++
		if all := f.contacts(); len(all) != n || all[n-1].State != storage.Certain {
			b.Fatalf("%d contacts, want %d, all certain", len(all), n)
		}
		b.StartTimer()
	}
	b.ReportMetric(float64(spent.Microseconds())/1000/float64(b.N), "cpu-ms/op")
}

// processorTime is what the process has used of its processors so far.
func processorTime(b *testing.B) time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

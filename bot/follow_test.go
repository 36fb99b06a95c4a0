//go:build unix

package bot

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// Operators who only follow what the rules choose, over squares of their own: the
// bytes that one adds to the database, and the work of planning one for the first
// time and again, when nothing has moved.
func BenchmarkFollowers(b *testing.B) {
	const operators = 100
	first, again := time.Hour, time.Hour // the least of all rounds
	var size int64
	for b.Loop() {
		b.StopTimer()
		f := &field{t: b, store: storagetest.Open(b), now: utc("2026-09-01T06:00:00Z")}
		f.desk = New(Config{Store: f.store, Sky: inventedSky(b), Version: "test"})
		for i := range operators {
			grid := fmt.Sprintf("%c%c%d%d", 'I'+i/10%3, 'M'+i%5, i/10%10, i%10)
			f.must(f.desk.SetUp(storage.Operator{
				ID: storage.OperatorID(fmt.Sprint(1000 + i)), Joined: f.now, Cautioned: f.now, Call: parse.MustParseCallsign("HX7KZQ"),
				Place: placeAt(grid), Remind: storage.DefaultRemind(),
			}, f.now))
		}
		b.StartTimer()
		before := processorTime(b)
		_, err := f.desk.Due(f.now)
		f.must(err)
		first = min(first, processorTime(b)-before)
		copied := filepath.Join(b.TempDir(), "copy.db")
		f.must(f.store.CopyTo(copied, f.now))
		info, err := os.Stat(copied)
		f.must(err)
		size = info.Size()
		f.must(f.desk.Replan(f.now))
		before = processorTime(b)
		f.until(f.now.Add(time.Minute))
		again = min(again, processorTime(b)-before)
	}
	b.ReportMetric(float64(size)/operators, "bytes/operator")
	b.ReportMetric(float64(first.Microseconds())/1000/operators, "least-first-ms")
	b.ReportMetric(float64(again.Microseconds())/1000/operators, "least-again-ms")
}

//go:build unix

package main

import (
	"context"
	"flag"
	"fmt"
	"io/fs"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"skyslate/bot/telegram/apitest"
	"skyslate/storage"
)

// How many operators TestLoad has and how long they write: a little for every
// change, thousands in the long form.
var (
	loadOperators = flag.Int("operators", 200, "how many operators TestLoad has")
	loadFor       = flag.Duration("for", 20*time.Second, "how long TestLoad lets them write")
)

// floodFor is how long they write more than can be answered.
func floodFor() time.Duration { return *loadFor / 10 }

// Reminders of so many go out in time, those of more begin before they are due: some
// when the traffic begins, which is so long before any is due.
const (
	storm      = 10_000
	stormAhead = time.Minute
)

// load is the program with very many operators, and the service that it talks to.
type load struct {
	t      *testing.T
	p      program
	api    string
	data   string
	args   []string
	sky    *loadSky
	server *apitest.Server
	rate   serviceRate
	phones []*apitest.Phone
	heard  [][]*said // by operator
	table  figures

	traffic time.Time // when it is to begin, so that reminders fall due in it

	s       *served
	outages []timespan // when no program polled
	wakes   []timespan // when what had waited was made up for
}

// timespan is from one moment to another.
type timespan struct{ from, to time.Time }

// TestLoad lets very many operators write while passes are planned, elements get
// fresh, a backup is made, the program is killed and started again. Nothing may be
// lost, doubled, out of order, unanswered or too late to be of use; how long
// everything took is printed beside the goals, and decides nothing.
func TestLoad(t *testing.T) {
	if testing.Short() {
		t.Skip("takes about a minute")
	}
	defer debug.SetGCPercent(debug.SetGCPercent(800)) // thousands of phones are not what is measured
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(10 << 30))
	l := newLoad(t)
	l.table.add("seeded", timed(func() { seedLoad(t, l.data, l.sky.squares, l.sky.names(), len(l.phones)) }))

	// Everybody is planned from nothing, then anew from fresh elements.
	l.table.add("start to first poll, nothing planned", inSeconds(l.start()))
	l.rest("to plan everybody from nothing")
	l.table.add("SIGTERM to the end", inSeconds(l.end(syscall.SIGTERM)))
	l.freshen()
	l.table.add("start to first poll, all planned", inSeconds(l.start()))
	l.rest("to plan everybody from fresh elements")
	l.table.add("database", megabytes(sizeOf(filepath.Join(l.data, "skyslate.db"))))

	// Traffic, in which it is killed, and started again upon still fresher
	// elements, with a backup due.
	await(t.Context(), time.Until(l.traffic))
	ctx, cancel := context.WithTimeout(t.Context(), *loadFor)
	defer cancel()
	written := make(chan struct{})
	begun := time.Now()
	go func() { defer close(written); l.write(ctx, begun.Add(floodFor())) }()
	await(ctx, floodFor()/2)
	l.end(syscall.SIGKILL)
	l.start()
	await(ctx, time.Until(begun.Add(*loadFor*2/3)))
	l.end(syscall.SIGTERM)
	l.freshen()
	l.ageBackups()
	l.start()
	<-written
	ended := time.Now()
	l.drain()
	l.s.err.await(t, "fresh elements")
	l.s.err.await(t, "backup made")
	l.table.add("memory without file pages at the most", megabytes(l.memory()))
	l.table.add("SIGTERM to the end", inSeconds(l.end(syscall.SIGTERM)))
	l.table.add("longest piece of work, waiting for the writer too", l.longest())

	l.judge(timespan{begun, ended})
	l.table.add("backup", l.backUp())
	t.Logf("%d operators, %s\n%s", len(l.phones), *loadFor, l.table.format(len(l.phones)))
}

func newLoad(t *testing.T) *load {
	now := time.Now()
	// By then everybody is planned twice, also where others are on the machine.
	const toSeed = 2500 * time.Microsecond
	many := time.Duration(*loadOperators)
	traffic := now.Add(20*time.Second + many*toSeed + 2*everybodyPlanned())
	due := traffic
	if many > storm {
		traffic = traffic.Add(everybodyPlanned())
		due = traffic.Add(stormAhead)
	}
	l := &load{
		t: t, p: buildProgram(t), data: filepath.Join(t.TempDir(), "data"),
		server: apitest.New(serveToken), heard: make([][]*said, *loadOperators),
		sky: newLoadSky(t, now, due.Add(storage.DefaultRemind().Lead)), traffic: traffic,
	}
	l.rate.polls = make(chan struct{}, 1)
	l.server.Script(l.rate.fault)
	web, elements := httptest.NewServer(l.server), l.sky.serve()
	t.Cleanup(web.Close)
	t.Cleanup(elements.Close)
	l.api = web.URL
	l.args = []string{"-data", l.data, "-open", "-birds", loadBirds, "-elements", elements.URL}
	for n := range *loadOperators {
		id, _ := strconv.ParseInt(string(loadOperator(n)), 10, 64) // it is a number
		phone := l.server.Phone(id, "Inga")
		phone.Known()
		l.phones = append(l.phones, phone)
	}
	return l
}

// start starts the program and returns how long it took to its first poll.
func (l *load) start() time.Duration {
	begun := time.Now()
	select {
	case <-l.rate.polls: // of the one before
	default:
	}
	l.s = l.p.serve(l.t, l.api, l.args...)
	select {
	case <-l.rate.polls:
	case <-time.After(10 * time.Minute):
		l.t.Fatalf("it never polls\n%s", l.s.err)
	}
	if n := len(l.outages); n > 0 {
		l.outages[n-1].to = time.Now()
	}
	return time.Since(begun)
}

// end ends the program with a signal and returns how long it took.
func (l *load) end(sig syscall.Signal) time.Duration {
	begun := time.Now()
	l.memory()
	l.outages = append(l.outages, timespan{from: begun})
	if err := l.s.cmd.Process.Signal(sig); err != nil {
		l.t.Fatal(err)
	}
	if err := l.s.cmd.Wait(); err != nil && sig != syscall.SIGKILL {
		l.t.Errorf("it ended with %v\n%s", err, l.s.err)
	}
	return time.Since(begun)
}

// everybodyPlanned is how long the planning of all operators is spread over: see
// watch.PlannedApart.
func everybodyPlanned() time.Duration { return time.Duration(*loadOperators) * 10 * time.Millisecond }

// rest waits until everybody is planned and the program has next to nothing to do,
// and notes the processor time until then.
func (l *load) rest(purpose string) {
	const idle = 30 * time.Millisecond // of a second
	start := l.processor()
	await(l.t.Context(), everybodyPlanned())
	last, quiet := start, 0
	for tick, late := time.NewTicker(time.Second), time.After(30*time.Minute); quiet < 3; {
		select {
		case <-tick.C:
		case <-late:
			l.t.Logf("it found no rest %s", purpose)
			return
		}
		now := l.processor()
		if quiet++; now-last > idle {
			quiet = 0
		}
		last = now
		l.memory()
	}
	l.table.add("processor "+purpose, inSeconds(last-start))
}

// freshen lets the next start fetch other elements: the copy is too old.
func (l *load) freshen() {
	l.sky.fresh.Add(1)
	l.age(filepath.Join(l.data, "elements"), 3*time.Hour)
}

func (l *load) ageBackups() { l.age(filepath.Join(l.data, "backups"), 2*backupEvery) }

// age makes the files of a directory older.
func (l *load) age(dir string, by time.Duration) {
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		at := time.Now().Add(-by)
		return os.Chtimes(path, at, at)
	})
	if err != nil {
		l.t.Fatal(err)
	}
}

// drain waits until everything is answered, or nothing comes any more, but not for all
// the reminders of a storm.
func (l *load) drain() {
	const patience, most = time.Minute, 10 * time.Minute
	begun := time.Now()
	deeds, since := 0, begun
	for tick := time.NewTicker(time.Second); time.Since(since) < patience && time.Since(begun) < most; {
		<-tick.C
		l.memory()
		all := l.server.Deeds()
		if l.server.Pending() == 0 && l.unanswered(all) == 0 {
			return
		}
		if len(all) != deeds {
			deeds, since = len(all), time.Now()
		}
	}
	l.t.Logf("after %s %d updates wait, %d messages are unanswered", time.Since(begun).Round(time.Second), l.server.Pending(), l.unanswered(l.server.Deeds()))
}

// backUp is how long a backup takes while nothing else is done.
func (l *load) backUp() figure {
	store, err := storage.Open(l.data)
	if err != nil {
		l.t.Fatal(err)
	}
	defer store.Close()
	begun := time.Now()
	if _, err := store.BackupTo("", begun, storage.BackupsKept); err != nil {
		l.t.Error(err)
	}
	return inSeconds(time.Since(begun))
}

// longest is the longest piece of work since the last start, as the program tells at
// its end.
func (l *load) longest() figure {
	_, told, _ := strings.Cut(l.s.err.String(), "longest=")
	longest, _, _ := strings.Cut(told, " ")
	return figure(longest)
}

// await waits, or until ctx ends.
func await(ctx context.Context, d time.Duration) {
	select {
	case <-time.After(d):
	case <-ctx.Done():
	}
}

// processor is the processor time that the program has used; 0 where that is not
// to be had.
func (l *load) processor() time.Duration {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", l.s.cmd.Process.Pid))
	if err != nil {
		return 0
	}
	// After the name, in parentheses: user and system time are the 12th and 13th,
	// in hundredths of a second (proc(5)).
	_, rest, _ := strings.Cut(string(text), ") ")
	var ticks time.Duration
	for _, f := range strings.Fields(rest)[11:13] {
		n, _ := strconv.ParseInt(f, 10, 64) // it is a number
		ticks += time.Duration(n)
	}
	return ticks * 10 * time.Millisecond
}

// memory looks how much memory the program takes that is no page of a file, and
// returns the most of it so far, 0 where that is not to be had.
func (l *load) memory() int64 {
	text, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", l.s.cmd.Process.Pid))
	_, rest, _ := strings.Cut(string(text), "RssAnon:")
	var kB int64
	if _, err := fmt.Sscan(rest, &kB); err == nil {
		l.table.memory = max(l.table.memory, kB<<10)
	}
	return l.table.memory
}

func sizeOf(path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}

//go:build unix

package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"skyslate/bot"
	"skyslate/bot/sky"
	"skyslate/bot/telegram/apitest"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// stepClock lets TestClockSteps run: it builds everything anew on a standard
// library whose wall clock can be set, and lasts some minutes.
var stepClock = flag.Bool("clock", false, "run TestClockSteps")

// stepsVar names the file that holds by how many seconds the wall clock of the
// program under test is off.
const stepsVar = "SKYSLATE_TEST_CLOCK"

// What is laid over the standard library and over this package. Only the wall
// clock is off: the monotonic one goes on, as on a machine whose clock is set.
const (
	overTime = `package time

import "sync/atomic"

var WallOff atomic.Int64
`
	overMain = `package main

import (
	"fmt"
	"os"
	"time"
)

func init() {
	read := func() {
		var off int64
		if b, err := os.ReadFile(os.Getenv("` + stepsVar + `")); err == nil {
			if _, err := fmt.Sscan(string(b), &off); err == nil {
				time.WallOff.Store(off)
			}
		}
	}
	read()
	go func() {
		for range time.Tick(50 * time.Millisecond) {
			read()
		}
	}()
}
`
)

// buildStepped builds the program with a wall clock that can be set.
func buildStepped(t *testing.T) program {
	t.Helper()
	dir := t.TempDir()
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	root := strings.TrimSpace(string(out))
	timeFile := filepath.Join(root, "src", "time", "time.go")
	text, err := os.ReadFile(timeFile)
	if err != nil {
		t.Fatal(err)
	}
	const reads = "sec, nsec, mono := runtimeNow()\n"
	if strings.Count(string(text), reads) != 1 {
		t.Fatalf("%s reads the clock in another way than this test knows", timeFile)
	}
	over := map[string]string{
		timeFile: strings.Replace(string(text), reads, reads+"\tsec += WallOff.Load()\n", 1),
		filepath.Join(root, "src", "time", "zz_wall_off.go"): overTime,
		absolute(t, "zz_wall_off.go"):                        overMain,
	}
	replace := map[string]string{}
	for path, text := range over {
		file := filepath.Join(dir, fmt.Sprintf("%d.go", len(replace)))
		write(t, file, text)
		replace[path] = file
	}
	table, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		t.Fatal(err)
	}
	overlay, binary := filepath.Join(dir, "overlay.json"), filepath.Join(dir, "skyslate")
	write(t, overlay, string(table))
	if out, err := exec.Command("go", "build", "-overlay", overlay, "-o", binary, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return program{path: binary}
}

func absolute(t *testing.T, path string) string {
	t.Helper()
	whole, err := filepath.Abs(path)
	if err != nil {
		t.Fatal(err)
	}
	return whole
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// orbiting is an invented bird, and its passes over a place from start on. Only
// the bird's number is real: it is that of the starter list's first bird.
func orbiting(t *testing.T, site predict.Site, start time.Time) (file string, passes []predict.Pass) {
	t.Helper()
	e := predict.Elements{
		Name: "INVENTED ORBIT", Catalog: 25544, Epoch: start, MeanMotion: 14.9, Eccentricity: 0.001,
		InclinationDeg: 67, RAANDeg: 30, ArgPerigeeDeg: 80, BStar: 1e-5,
	}
	const days = 6 * 24 * time.Hour
	table, err := predict.NewEphemeris(e, start, start.Add(days))
	if err != nil {
		t.Fatal(err)
	}
	var last time.Time
	for _, p := range table.Passes(site, start, start.Add(days), 0) {
		if p.AtTCA.ElDeg > 10 && p.AOS.Sub(last) > time.Hour {
			passes = append(passes, p)
		}
		last = p.AOS
	}
	return omm(t, e), passes
}

// A clockwork is the program under test with its wall clock.
type clockwork struct {
	t     *testing.T
	s     *served
	phone *apitest.Phone
	file  string
}

// set sets the wall clock and waits for two beats of the agenda.
func (c clockwork) set(at time.Time) {
	c.t.Helper()
	write(c.t, c.file, fmt.Sprint(int64(time.Until(at).Round(time.Second)/time.Second)))
	time.Sleep(25 * time.Second)
}

// sleep lets the machine sleep until a moment: its programs stand still, and so
// does the monotonic clock.
func (c clockwork) sleep(until time.Time) {
	c.t.Helper()
	c.signal(syscall.SIGSTOP)
	write(c.t, c.file, fmt.Sprint(int64(time.Until(until).Round(time.Second)/time.Second)))
	c.signal(syscall.SIGCONT)
	time.Sleep(25 * time.Second)
}

func (c clockwork) signal(sig syscall.Signal) {
	c.t.Helper()
	if err := c.s.cmd.Process.Signal(sig); err != nil {
		c.t.Fatal(err)
	}
}

// rang checks how often the reminder of a pass has come.
func (c clockwork) rang(when string, p predict.Pass, want int) {
	c.t.Helper()
	n := 0
	aos := "AOS " + p.AOS.UTC().Round(time.Second).Format("15:04:05")
	for _, m := range c.phone.Chat() {
		if !m.Mine() && !m.Silent && strings.Contains(m.Text, aos) {
			n++
		}
	}
	if n != want {
		c.t.Errorf("%s: the reminder of the pass at %s came %d times, want %d", when, p.AOS, n, want)
	}
}

// TestClockSteps sets the wall clock of the running program back and forth, and
// lets the machine sleep: no reminder comes twice, and none is missing for a pass
// that is still to come.
func TestClockSteps(t *testing.T) {
	if !*stepClock {
		t.Skip("takes minutes: -args -clock")
	}
	p := buildStepped(t)
	server := apitest.New(serveToken)
	web := httptest.NewServer(server)
	defer web.Close()
	c := clockwork{t: t, phone: server.Phone(7, "Inga"), file: filepath.Join(t.TempDir(), "clock")}
	c.phone.Known()
	t.Setenv(stepsVar, c.file)

	start := time.Now().UTC().Truncate(time.Second)
	site := predict.Site{LatDeg: 47.3, LonDeg: 9.5}
	file, passes := orbiting(t, site, start)
	if len(passes) < 12 || passes[0].AOS.Before(start.Add(time.Minute)) {
		passes = passes[1:]
	}
	data := filepath.Join(t.TempDir(), "data")
	setUpAt(t, data, site, start)
	c.s = p.serve(t, web.URL, "-data", data, "-open", "-elements", file)

	c.set(passes[0].AOS.Add(-12 * time.Minute))
	c.rang("before its time", passes[0], 0)
	c.set(passes[0].AOS.Add(-9 * time.Minute))
	c.rang("set forward into the last ten minutes", passes[0], 1)
	c.set(passes[0].AOS.Add(-25 * time.Minute))
	c.set(passes[0].AOS.Add(-8 * time.Minute))
	c.rang("set back, and forward again", passes[0], 1)
	c.set(passes[0].AOS.Add(-3 * 24 * time.Hour))
	c.set(passes[1].AOS.Add(-9 * time.Minute))
	c.rang("after a clock that was three days behind", passes[1], 1)
	c.rang("after a clock that was three days behind", passes[0], 1)
	c.sleep(passes[2].LOS.Add(time.Minute))
	c.rang("slept through", passes[2], 0)
	c.sleep(passes[3].AOS.Add(time.Minute))
	c.rang("awake again while it lasts", passes[3], 1)
	c.set(passes[3].AOS.Add(40 * 24 * time.Hour))
	c.set(passes[4].AOS.Add(-9 * time.Minute))
	c.rang("after a clock that was forty days ahead", passes[4], 1)
	c.set(passes[5].AOS.Add(-10*time.Minute - 12*time.Second))
	c.rang("reached by itself", passes[5], 1)
	for _, p := range passes[:6] {
		t.Logf("pass at %s, peak %.0f degrees", p.AOS.Format(time.DateTime), p.AtTCA.ElDeg)
	}
	c.rang("in the end", passes[0], 1)
	c.rang("in the end", passes[1], 1)
	c.rang("in the end", passes[3], 1)
	c.s.terminate(t)
	if out, err := exec.Command(p.path, "verify", "-data", data).CombinedOutput(); err != nil {
		t.Errorf("verify: %v\n%s", err, out)
	}
	t.Logf("log:\n%s", c.s.err)
}

// setUpAt makes an operator who wants to hear of every pass.
func setUpAt(t *testing.T, data string, site predict.Site, now time.Time) {
	t.Helper()
	store, err := storage.Open(data)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	desk := bot.New(bot.Config{Store: store, Sky: sky.New(predict.StarterBirds(), nil)})
	err = desk.SetUp(storage.Operator{
		ID: "7", Joined: now, Cautioned: now, Call: parse.MustParseCallsign("HX7KZQ"),
		Place: storage.Place{
			Grids: []parse.Grid{parse.GridAt(site.LatDeg, site.LonDeg, 4)}, LatDeg: site.LatDeg, LonDeg: site.LonDeg, Zone: "UTC", Set: now,
		},
		Remind: storage.Remind{Lead: 10 * time.Minute, Until: 24, PerDay: 99},
	}, now)
	if err != nil {
		t.Fatal(err)
	}
}

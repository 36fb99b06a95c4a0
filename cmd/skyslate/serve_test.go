//go:build unix

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"skyslate/bot/telegram/apitest"
	"skyslate/parse"
	"skyslate/predict"
)

const serveToken = "42:invented-token_0123456789"

// served is a running serve.
type served struct {
	cmd      *exec.Cmd
	out, err *watched
}

// serve starts the program against a service.
func (p program) serve(t *testing.T, api string, args ...string) *served {
	t.Helper()
	token := filepath.Join(t.TempDir(), "token")
	if err := os.WriteFile(token, []byte(serveToken+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(p.path, append([]string{"serve", "-api", api}, args...)...)
	if p.wrap != nil {
		cmd = p.wrap(cmd)
	}
	cmd.Env = append(os.Environ(), "SKYSLATE_TOKEN=", "SKYSLATE_TOKEN_FILE="+token)
	out, outEnd := io.Pipe()
	errOut, errEnd := io.Pipe()
	cmd.Stdout, cmd.Stderr = outEnd, errEnd
	s := &served{cmd, watch(out), watch(errOut)}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		defer outEnd.Close()
		defer errEnd.Close()
		_ = cmd.Process.Kill() // if the test has failed before its end
		if log := s.err.String(); strings.Contains(log, serveToken) {
			t.Errorf("the token is in the log:\n%s", log)
		}
	})
	return s
}

// terminate ends the program as a service manager does, and says how.
func (s *served) terminate(t *testing.T) {
	t.Helper()
	start := time.Now()
	if err := s.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Wait(); err != nil {
		t.Errorf("it ended with %v\n%s", err, s.err)
	}
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("it took %s to end", took)
	}
}

// overhead is a bird that is up right now, on an invented orbit, and a place
// under it: where it is about midday, because reminders come by day.
type overhead struct {
	file  string // of the elements, as an OMM in JSON
	site  predict.Site
	grid  parse.Grid
	until time.Time // LOS
}

// upNow searches an orbit on which the starter list's first bird rose within the
// last two minutes. Only the bird's number is real.
func upNow(t *testing.T, now time.Time) overhead {
	t.Helper()
	now = now.UTC().Truncate(time.Second)
	lon := 180 - float64(now.Hour()*60+now.Minute())/4 // solar noon
	if lon <= -179 {
		lon = -179
	}
	site := predict.Site{LatDeg: 47.3, LonDeg: lon}
	for node := 0.0; node < 360; node += 4 {
		for anomaly := 0.0; anomaly < 360; anomaly += 4 {
			e := predict.Elements{
				Name: "INVENTED ORBIT", Catalog: 25544, Epoch: now.Add(-time.Hour), MeanMotion: 14.9, Eccentricity: 0.001,
				InclinationDeg: 67, RAANDeg: node, ArgPerigeeDeg: 80, MeanAnomalyDeg: anomaly, BStar: 1e-5,
			}
			table, err := predict.NewEphemeris(e, now.Add(-10*time.Minute), now.Add(20*time.Minute))
			if err != nil {
				t.Fatal(err)
			}
			for _, pass := range table.Passes(site, now.Add(-time.Minute), now.Add(time.Minute), 0) {
				rose := now.Sub(pass.AOS)
				if rose > 15*time.Second && rose < 2*time.Minute && pass.AtTCA.ElDeg > 40 && pass.LOS.After(now.Add(7*time.Minute)) {
					return overhead{omm(t, e), site, parse.GridAt(site.LatDeg, site.LonDeg, 4), pass.LOS}
				}
			}
		}
	}
	t.Fatal("no orbit found")
	return overhead{}
}

func omm(t *testing.T, e predict.Elements) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "invented.json")
	if err := os.WriteFile(path, []byte("["+ommObject(e)+"]"), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func ommObject(e predict.Elements) string {
	return fmt.Sprintf(`{"OBJECT_NAME":%q,"OBJECT_ID":"2026-901A","EPOCH":%q,"MEAN_MOTION":%g,"ECCENTRICITY":%g,"INCLINATION":%g,
"RA_OF_ASC_NODE":%g,"ARG_OF_PERICENTER":%g,"MEAN_ANOMALY":%g,"EPHEMERIS_TYPE":0,"CLASSIFICATION_TYPE":"U","NORAD_CAT_ID":%d,
"ELEMENT_SET_NO":1,"REV_AT_EPOCH":1,"BSTAR":%g,"MEAN_MOTION_DOT":0,"MEAN_MOTION_DDOT":0}`,
		e.Name, e.Epoch.Format("2006-01-02T15:04:05.000000"), e.MeanMotion, e.Eccentricity, e.InclinationDeg,
		e.RAANDeg, e.ArgPerigeeDeg, e.MeanAnomalyDeg, e.Catalog, e.BStar)
}

// near is a grid a little off a place, so that its stations hear the same bird.
func (o overhead) near(n int) parse.Grid {
	return parse.GridAt(o.site.LatDeg+float64(n%3), o.site.LonDeg, 4)
}

// talk is a conversation with a time limit.
type talk struct {
	t     *testing.T
	ctx   context.Context
	phone *apitest.Phone
	s     *served
}

// wait waits until a post of the bot's is as wanted and returns it.
func (c talk) wait(what string, wanted func(apitest.Message) bool) (found apitest.Message) {
	c.t.Helper()
	_, err := c.phone.Wait(c.ctx, func(all []apitest.Message) bool {
		for _, m := range all {
			if !m.Mine() && wanted(m) {
				found = m
				return true
			}
		}
		return false
	})
	if err != nil {
		var chat strings.Builder
		for _, m := range c.phone.Chat() {
			fmt.Fprintf(&chat, "%d (mine: %t) %s%s\n", m.ID, m.Mine(), m.Text, m.Caption)
		}
		c.t.Fatalf("no %s: %v\n%s\nlog:\n%s", what, err, &chat, c.s.err)
	}
	return found
}

// answer waits for an answer to a message that holds a text.
func (c talk) answer(id int64, text string) apitest.Message {
	c.t.Helper()
	return c.wait(fmt.Sprintf("answer to message %d with %q", id, text), func(m apitest.Message) bool {
		return m.ReplyTo != nil && m.ReplyTo.ID == id && strings.Contains(m.Text+m.Caption, text)
	})
}

func (c talk) says(text string) apitest.Message {
	c.t.Helper()
	return c.wait(fmt.Sprintf("post with %q", text), func(m apitest.Message) bool { return strings.Contains(m.Text, text) })
}

// TestServe is an operator's first evening: set-up, reminder, contacts, an edit,
// undo, the log as a file; on the built program, over loopback.
func TestServe(t *testing.T) {
	p := buildProgram(t)
	server := apitest.New(serveToken)
	server.Echo = true
	web := httptest.NewServer(server)
	defer web.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 2*patience)
	defer cancel()
	bird := upNow(t, time.Now())
	data := filepath.Join(t.TempDir(), "data")
	s := p.serve(t, web.URL, "-data", data, "-elements", bird.file)
	phone := server.Phone(7, "Inga")
	c := talk{t, ctx, phone, s}

	s.out.await(t, "owner-code\n")
	code, err := os.ReadFile(filepath.Join(data, "owner-code"))
	if err != nil {
		t.Fatal(err)
	}
	phone.Say("/start " + string(code))
	c.says("Your call sign")
	phone.Say("HX7KZQ")
	c.wait("button for the place", func(m apitest.Message) bool { return strings.Contains(m.Keys, "request_location") })
	phone.Place(bird.site.LatDeg, bird.site.LonDeg, 8, false)
	c.says("Your grid: " + bird.grid.String())
	c.wait("reminder that rings", func(m apitest.Message) bool { return !m.Silent && strings.Contains(m.Text, "ISS") })

	first := phone.Say("DI4ZAB " + bird.near(0).String())
	echo := c.answer(first, "1  DI4ZAB "+bird.near(0).String())
	second := phone.Say(strings.ToLower(bird.near(1).String()) + " 2z0vek")
	c.answer(second, "2  2Z0VEK "+bird.near(1).String())
	phone.Edit(first, "DI4ZAC "+bird.near(0).String())
	c.wait("corrected echo", func(m apitest.Message) bool { return m.ID == echo.ID && strings.Contains(m.Text, "DI4ZAC") })
	third := phone.Say("9B3TUX " + bird.near(2).String())
	c.answer(third, "3  9B3TUX")
	undo := phone.Say("/undo")
	c.answer(undo, "Taken back")
	voice := phone.Voice(4 * time.Second) // its sign makes the service echo an edit that is none
	if _, err := phone.Wait(ctx, func(all []apitest.Message) bool {
		return all[len(all)-1].ID >= voice && server.Calls("setMessageReaction") > 0
	}); err != nil {
		t.Fatal(err)
	}
	adif := phone.Say("/adif")
	file := c.answer(adif, "2 contacts")
	for _, want := range []string{"DI4ZAC", "2Z0VEK"} {
		if !strings.Contains(string(file.Body), want) {
			t.Errorf("%s is not in the file:\n%s", want, file.Body)
		}
	}
	if strings.Contains(string(file.Body), "9B3TUX") || strings.Contains(string(file.Body), "DI4ZAB") {
		t.Errorf("what was corrected or taken back is in the file:\n%s", file.Body)
	}

	rival := p.serve(t, web.URL, "-data", filepath.Join(t.TempDir(), "other"), "-open")
	s.err.await(t, "another program polls")
	c.says("another program fetches")
	rival.terminate(t)
	p.refusesSecond(t, web.URL, data)
	p.endsAtItsStart(t, web.URL)
	s.terminate(t)

	out, err := exec.Command(p.path, "export", "-data", data, "-operator", "7").Output()
	if err != nil || strings.Count(strings.ToUpper(string(out)), "<EOR>") != 2 {
		t.Errorf("export: %v\n%s", err, out)
	}
	if out, err := exec.Command(p.path, "verify", "-data", data).CombinedOutput(); err != nil {
		t.Errorf("verify: %v\n%s", err, out)
	}
	if log := s.err.String(); strings.Contains(log, "2z0vek") || strings.Contains(log, "DI4ZA") || strings.Contains(log, strings.TrimSpace(string(code))) {
		t.Errorf("the text of a message or the code is in the log:\n%s", log)
	}
}

// refusesSecond checks that a second process on the same data says so and ends.
func (p program) refusesSecond(t *testing.T, api, data string) {
	t.Helper()
	s := p.serve(t, api, "-data", data)
	code := ended(t, s.cmd)
	s.err.await(t, "another skyslate is running on")
	if code != 1 {
		t.Errorf("a second process ends with status %d", code)
	}
}

// endsAtItsStart checks that a process that is told to end while it still reads its
// arguments ends as it does later: its list of birds comes through a pipe.
func (p program) endsAtItsStart(t *testing.T, api string) {
	t.Helper()
	dir := t.TempDir()
	pipe := filepath.Join(dir, "birds.csv")
	birds, err := os.ReadFile("../../predict/birds.csv")
	if err == nil {
		err = syscall.Mkfifo(pipe, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	s := p.serve(t, api, "-data", filepath.Join(dir, "data"), "-birds", pipe)
	list, err := os.OpenFile(pipe, os.O_WRONLY, 0) // waits for the one who reads
	if err == nil {
		err = s.cmd.Process.Signal(syscall.SIGTERM)
	}
	if err == nil {
		_, err = list.Write(birds)
	}
	if err := errors.Join(err, list.Close(), s.cmd.Wait()); err != nil {
		t.Errorf("told to end at its start: %v\n%s", err, s.err)
	}
	s.err.await(t, "stopped")
}

//go:build unix

package main

import (
	"fmt"
	"math/rand/v2"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/matrix/servertest"
	"skyslate/bot/telegram/apitest"
	"skyslate/storage"
)

// matrixServe is a program with an owner on a Matrix server, and a bird that is up.
type matrixServe struct {
	server  *servertest.Server
	inga    *servertest.Phone
	service *apitest.Server // of the other app
	bird    overhead
	data    string // the store's directory
	serve   func(more ...string) *served
}

// serveOnMatrix sets the owner up, and operators on the other app.
func serveOnMatrix(t *testing.T, others ...storage.OperatorID) matrixServe {
	t.Helper()
	now := time.Now()
	on := matrixServe{server: servertest.New(t), service: apitest.New(serveToken), bird: upNow(t, now), data: filepath.Join(t.TempDir(), "data")}
	t.Setenv(matrixVars.text, on.server.Account(t, "logbook"))
	on.inga = on.server.Phone(t, "inga")
	p := buildProgram(t)
	web := httptest.NewServer(on.service)
	t.Cleanup(web.Close)
	setUpUnder(t, on.data, on.bird, now, append(others, storage.OperatorID(on.inga.ID))...)
	on.serve = func(more ...string) *served {
		args := []string{"-data", on.data, "-elements", on.bird.file, "-matrix", on.server.URL, "-matrix-owner", on.inga.ID}
		return p.serve(t, web.URL, append(args, more...)...)
	}
	return on
}

// eachServerKilled is after how many messages the Matrix server is killed, on average.
const eachServerKilled = 10

// TestKilledOnBothApps runs one program on Telegram and on a real Matrix server, which
// are both used while the program and the Matrix server are killed at random. Every
// message is stored once and in order, and answered once.
func TestKilledOnBothApps(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some minutes")
	}
	on := serveOnMatrix(t, "7")
	server, inga, bird, data := on.server, on.inga, on.bird, on.data
	other := on.service.Phone(7, "Birk")
	other.Known()
	s := on.serve("-allow", "7")
	inga.Join(inga.Invited())
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	total := max(*killMessages/10, 10)
	var sent []string // their names
	kills, serverKills := 0, 0
	for len(sent) < total {
		life := time.AfterFunc(time.Duration(300+rng.IntN(3000))*time.Millisecond, func() { _ = s.cmd.Process.Kill() })
		ended := make(chan struct{})
		go func() { defer close(ended); _ = s.cmd.Wait() }() // it is killed
		for alive := true; alive && len(sent) < total; {
			text := messageText(len(sent), bird)
			sent = append(sent, inga.Say(text))
			other.Say(text)
			until := time.After(betweenEach)
			if rng.IntN(eachServerKilled) == 0 {
				<-time.After(time.Duration(rng.Int64N(int64(betweenEach / 2)))) // somewhere in what it is asked for
				server.Kill()
				server.Start(t)
				serverKills++
			}
			select {
			case <-ended:
				alive = false
			case <-until:
			}
		}
		<-ended
		life.Stop()
		kills++
		s = on.serve("-allow", "7")
	}
	s.err.await(t, "serving") // it may have answered all before: then it is told to end at once
	var answers map[string]int
	inga.Await("an answer to each message", func() bool {
		answers = answersTo(inga, sent)
		return len(answers) == total
	})
	if _, err := other.Wait(t.Context(), func(all []apitest.Message) bool { return len(answersIn(all)) == total }); err != nil {
		t.Errorf("not every message on Telegram was answered: %v", err)
	}
	s.terminate(t)
	for i, id := range sent {
		if answers[id] != 1 {
			t.Errorf("message %d has %d answers", i, answers[id])
		}
	}
	t.Logf("%d messages on each app, %d kills of the program, %d of the Matrix server", total, kills, serverKills)
	for _, op := range []storage.OperatorID{storage.OperatorID(inga.ID), "7"} {
		judgeCalls(t, data, op, total, bird)
	}
}

// answersTo counts the bot's answers to each of those messages of a person's.
func answersTo(p *servertest.Phone, sent []string) map[string]int {
	answers := map[string]int{}
	count := func(name any) {
		if id := fmt.Sprint(name); slices.Contains(sent, id) {
			answers[id]++
		}
	}
	for _, m := range p.History() {
		rel, _ := m.Content["m.relates_to"].(map[string]any)
		switch {
		case m.Sender == p.ID || m.Edits() != "":
		case m.Type == "m.reaction":
			count(rel["event_id"])
		case m.Answers() != "":
			count(m.Answers())
		}
	}
	return answers
}

// judgeCalls compares an operator's log with the first messages of messageText: by its
// moments, because a server that was killed may hand over what it had taken half a minute
// after what came later (measured).
func judgeCalls(t *testing.T, data string, op storage.OperatorID, messages int, bird overhead) {
	t.Helper()
	contacts, err := contactsOf(data, op, time.Time{}, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(contacts, func(a, b storage.Contact) int { return a.Time.Compare(b.Time) })
	var want, got []string
	for n := range messages {
		if text := messageText(n, bird); !strings.HasPrefix(text, "(") {
			want = append(want, strings.Fields(text)[0])
		}
	}
	for _, c := range contacts {
		got = append(got, c.Call.String())
	}
	if !slices.Equal(got, want) {
		t.Errorf("operator %s: contacts are\n%s, want\n%s", op, got, want)
	}
}

// TestPassOnMatrix is a pass that is up: the card is pinned and moves on, a contact is
// answered, its edit corrects it, and nothing makes a sound but the reminder of the pass.
func TestPassOnMatrix(t *testing.T) {
	on := serveOnMatrix(t)
	inga, bird := on.inga, on.bird
	s := on.serve()
	inga.Join(inga.Invited())
	said := inga.Say(killedCall(0) + " " + bird.near(0).String())
	inga.Await("an echo", func() bool { return answersTo(inga, []string{said})[said] == 1 })
	inga.Edit(said, killedCall(1)+" "+bird.near(0).String())
	inga.Await("the corrected contact", func() bool {
		return slices.ContainsFunc(inga.Heard(), func(m servertest.Message) bool { return strings.Contains(m.Text(), killedCall(1)) })
	})
	inga.Await("a pinned card that was edited", func() bool {
		pinned := inga.Pinned()
		return slices.ContainsFunc(inga.History(), func(m servertest.Message) bool {
			return m.Edits() != "" && slices.Contains(pinned, m.Edits())
		})
	})
	for _, m := range inga.Heard() {
		if m.Content["msgtype"] != "m.notice" && !strings.Contains(m.Text(), "is up until") {
			t.Errorf("it makes a sound: %v", m.Content)
		}
	}
	s.terminate(t)
}

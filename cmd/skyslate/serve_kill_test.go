//go:build unix

package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"skyslate/bot"
	"skyslate/bot/sky"
	"skyslate/bot/telegram/apitest"
	"skyslate/bot/zone"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
	"skyslate/storage/phones"
)

// killMessages is how many messages TestKilled sends in all: 300 for every change,
// 3,000 in the long form. besideOthers is how many operators the program has beside
// those who write, when it is killed and when its disk is full.
var (
	killMessages = flag.Int("messages", 300, "how many messages TestKilled sends")
	besideOthers = flag.Int("beside", 0, "how many operators there are who write nothing")
)

// How hard the program is treated.
const (
	operators   = 15
	betweenEach = 1200 * time.Millisecond
)

// eachSends is how many messages an operator sends.
func eachSends() int { return (*killMessages + operators - 1) / operators }

// killsMax is how often the program is killed at most, treatment when it is over,
// whatever happens.
func killsMax() int            { return *killMessages / 5 }
func treatment() time.Duration { return time.Duration(*killMessages) * 600 * time.Millisecond }

// TestKilled sends messages while the program is killed again and again and
// the network loses, doubles and refuses. Then every message is stored once and
// in order, every contact is logged once, and every message was answered.
func TestKilled(t *testing.T) {
	if testing.Short() {
		t.Skip("takes about a minute")
	}
	p := buildProgram(t)
	server := apitest.New(serveToken)
	web := httptest.NewServer(server)
	defer web.Close()
	ctx, cancel := context.WithTimeout(t.Context(), treatment())
	defer cancel()

	now := time.Now()
	bird := upNow(t, now)
	data := filepath.Join(t.TempDir(), "data")
	seatOthers(t, server, data, now)
	all := populate(t, server, data, bird, now)
	seed := uint64(now.UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	server.Script(faulty(seed))

	second := withSecond(t, server, data, now)
	said := make(chan struct{})
	go func() { defer close(said); sayAll(ctx, all, second, bird) }()
	kills := 0
	for running := true; running && ctx.Err() == nil && kills < killsMax(); {
		s := p.serve(t, web.URL, "-data", data, "-open", "-elements", bird.file)
		life := time.NewTimer(time.Duration(50+rng.IntN(900)) * time.Millisecond)
		select {
		case <-life.C:
		case <-ctx.Done():
		}
		_ = s.cmd.Process.Kill()
		_ = s.cmd.Wait() // it was killed
		kills++
		server.Redeliver(rng.IntN(6))
		select {
		case <-said:
			running = false
		default:
		}
	}
	server.Script(nil)
	s := p.serve(t, web.URL, "-data", data, "-open", "-elements", bird.file)
	s.err.await(t, "serving") // it may have answered all before: then it is told to end at once
	for _, phone := range append(all, second) {
		if _, err := phone.Wait(ctx, allAnswered); err != nil {
			t.Errorf("not every message was answered: %v", err)
			break
		}
	}
	s.terminate(t)
	told := judgeStore(t, data, all, second)
	t.Logf("%d messages, %d kills, %d answers, %d of them repeated; %d calls of getUpdates, %d of sendMessage, %d of setMessageReaction",
		(operators+1)*eachSends(), kills, told.answers, told.repeated,
		server.Calls("getUpdates"), server.Calls("sendMessage"), server.Calls("setMessageReaction"))
}

// seatOthers makes the operators who write nothing, and their phones.
func seatOthers(t *testing.T, server *apitest.Server, data string, now time.Time) {
	t.Helper()
	seedLoad(t, data, squares{upNoon(now)}, nil, *besideOthers)
	for n := range *besideOthers {
		id, _ := strconv.ParseInt(string(loadOperator(n)), 10, 64) // it is a number
		server.Phone(id, "Inga").Known()
	}
}

// withSecond lets a second phone into the first operator's log.
func withSecond(t *testing.T, server *apitest.Server, data string, now time.Time) *apitest.Phone {
	t.Helper()
	store, err := storage.Open(data)
	if err != nil {
		t.Fatal(err)
	}
	op, _ := operatorIn(t, store, "100")
	from, until := now.Add(-time.Minute).UTC(), now.Add(24*time.Hour).UTC()
	op.Phones, op.Phoned = []storage.Phone{{Of: "99", Number: 1, From: from, Until: until, Heard: from}}, 1
	seat, err := json.Marshal(storage.Seat{Log: op.ID, From: from, Until: until})
	if err != nil {
		t.Fatal(err)
	}
	err = errors.Join(store.Commit("seated/100", from, storage.Changes{
		Operator: &op, Keep: map[string][]byte{storage.SeatKey("99"): seat},
	}), store.Close())
	if err != nil {
		t.Fatal(err)
	}
	phone := server.Phone(99, "Anna")
	phone.Known()
	return phone
}

// populate makes operators who are set up already, at a place under the bird.
func populate(t *testing.T, server *apitest.Server, data string, bird overhead, now time.Time) (all []*apitest.Phone) {
	t.Helper()
	var ops []storage.OperatorID
	for i := range operators {
		id := int64(100 + i)
		ops = append(ops, storage.OperatorID(fmt.Sprint(id)))
		phone := server.Phone(id, "Inga")
		phone.Known()
		all = append(all, phone)
	}
	setUpUnder(t, data, bird, now, ops...)
	return all
}

// setUpUnder makes operators who are set up already, at a place under the bird, where it is
// noon: at night nobody is reminded.
func setUpUnder(t *testing.T, data string, bird overhead, now time.Time, ops ...storage.OperatorID) {
	t.Helper()
	store, err := storage.Open(data)
	if err != nil {
		t.Fatal(err)
	}
	desk := bot.New(bot.Config{Store: store, Sky: sky.New(predict.StarterBirds(), nil)})
	local, _ := zone.At(bird.site.LatDeg, bird.site.LonDeg)
	for _, op := range ops {
		err = errors.Join(err, desk.SetUp(storage.Operator{
			ID: op, Joined: now, Cautioned: now, Call: parse.MustParseCallsign("HX7KZQ"),
			Place:  storage.Place{Grids: []parse.Grid{bird.grid}, LatDeg: bird.site.LatDeg, LonDeg: bird.site.LonDeg, Zone: local, Set: now},
			Remind: storage.DefaultRemind(),
		}, now.UTC()))
	}
	if err := errors.Join(err, store.Close()); err != nil {
		t.Fatal(err)
	}
}

// faulty lets about one call in four go wrong.
func faulty(seed uint64) func(string, int) *apitest.Fault {
	rng := rand.New(rand.NewPCG(seed, 2))
	faults := []apitest.Fault{
		{Code: 502, HTML: true},
		{Code: 500},
		{Code: 429, RetryAfter: 1},
		{Reset: true},
		{Reset: true, After: true},
		{Cut: true, After: true},
		{Code: 502, HTML: true, After: true},
		{CloseAfter: true},
		{Slow: 200 * time.Millisecond},
	}
	return func(string, int) *apitest.Fault { // the server asks one call at a time
		if rng.IntN(4) > 0 {
			return nil
		}
		return &faults[rng.IntN(len(faults))]
	}
}

// sayAll lets the operators write, and the second phone: contacts, and now and then a
// note.
func sayAll(ctx context.Context, all []*apitest.Phone, second *apitest.Phone, bird overhead) {
	tick := time.NewTicker(betweenEach)
	defer tick.Stop()
	for n := range eachSends() {
		for _, phone := range all {
			phone.Say(messageText(n, bird))
		}
		second.Say(strings.Replace(messageText(n, bird), "OX7", "OX8", 1))
		if n%4 == 3 {
			continue // two at once
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			return
		}
	}
}

// messageText is what each operator says as the nth message: invented stations,
// and notes.
func messageText(n int, bird overhead) string {
	if n%5 == 4 {
		return fmt.Sprintf("(%d) much fading", n)
	}
	return killedCall(n) + " " + bird.near(n).String()
}

func killedCall(n int) string { return fmt.Sprintf("OX7%c%c%c", 'K'+n/130, 'A'+n/5%26, 'L'+n%5) }

// answers counts the bot's answers to each message.
func answersIn(all []apitest.Message) map[int64]int {
	answers := map[int64]int{}
	for _, m := range all {
		switch {
		case m.Mine() && m.Reaction != "":
			answers[m.ID]++
		case !m.Mine() && m.ReplyTo != nil:
			answers[m.ReplyTo.ID]++
		}
	}
	return answers
}

func allAnswered(all []apitest.Message) bool {
	answers := answersIn(all)
	mine := 0
	for _, m := range all {
		if m.Mine() {
			mine++
			if answers[m.ID] == 0 {
				return false
			}
		}
	}
	return mine == eachSends()
}

type tally struct{ answers, repeated int }

// judgeStore compares what is stored with what was said.
func judgeStore(t *testing.T, data string, all []*apitest.Phone, second *apitest.Phone) (told tally) {
	t.Helper()
	if _, err := storage.Verify(data); err != nil {
		t.Fatal(err)
	}
	store, err := storage.OpenForRead(data)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	for i, phone := range append(all, second) {
		id, number := storage.OperatorID(fmt.Sprint(100+i)), int64(0)
		if phone == second {
			id, number = "100", 1
		}
		var mine []apitest.Message
		for _, m := range phone.Chat() {
			if m.Mine() {
				mine = append(mine, m)
			}
		}
		for _, n := range answersIn(phone.Chat()) {
			told.answers += n
			told.repeated += n - 1
		}
		err := store.View(func(v *storage.View) error {
			return judgeOperator(t, v, id, number, mine)
		})
		if err != nil {
			t.Error(err)
		}
	}
	return told
}

// judgeOperator judges what one of an operator's phones has sent.
func judgeOperator(t *testing.T, v *storage.View, id storage.OperatorID, number int64, mine []apitest.Message) error {
	var want, got []string
	for _, m := range mine {
		message, _ := phones.Message(number, m.ID)
		kept, ok, err := v.Message(id, message)
		if err != nil {
			return err
		}
		if !ok || kept.Text != m.Text || kept.Edits != nil {
			t.Errorf("operator %s: message %d is %+v in the store", id, m.ID, kept)
		}
		if !strings.HasPrefix(m.Text, "(") {
			want = append(want, strings.Fields(m.Text)[0])
		}
	}
	contacts, err := v.Contacts(id, time.Time{}, time.Now().Add(time.Hour))
	if err != nil {
		return err
	}
	slices.SortFunc(contacts, func(a, b storage.Contact) int { return int(a.ID) - int(b.ID) })
	for _, c := range contacts {
		if phones.Of(c.Message) == number {
			got = append(got, c.Call.String())
		}
	}
	if !slices.Equal(want, got) {
		t.Errorf("operator %s, phone %d: contacts are\n%s, want\n%s", id, number, got, want)
	}
	return nil
}

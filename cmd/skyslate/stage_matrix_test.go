package main

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/guests"
	"skyslate/bot/matrix"
	"skyslate/bot/matrix/servertest"
	loops "skyslate/bot/run"
	"skyslate/storage"
)

// onMatrix is the operator's phone on Matrix, in the bot's room since long ago.
type onMatrix struct {
	t     *testing.T
	home  *servertest.Home
	phone *servertest.Phone
	bot   string
	way   http.RoundTripper
	rooms map[string][]byte // those of everybody there, as the bot keeps them
}

func newOnMatrix(t *testing.T) handset {
	home := servertest.NewHome()
	h := onMatrix{t: t, home: home, bot: "@logbook:" + servertest.Name, way: home, rooms: map[string][]byte{}}
	return h.another("inga")
}

// another is somebody else's phone there, in a room of their own.
func (h onMatrix) another(name string) handset {
	h.phone = h.home.Phone(h.t, name)
	h.phone.Enter(h.home.Shared(h.bot, h.phone.ID))
	h.rooms["matrix/room/"+h.phone.ID] = fmt.Appendf(nil, `{"id":%q,"joined":true}`, h.phone.Room())
	return h
}

// through is the phone with another way between bot and server.
func (h onMatrix) through(way http.RoundTripper) onMatrix {
	h.way = way
	return h
}

func (h onMatrix) operator() storage.OperatorID { return storage.OperatorID(h.phone.ID) }

func (h onMatrix) connect(c bot.Config, desk *bot.Desk, door *guests.Guests) (loops.Transport, error) {
	token, err := matrix.ParseToken(h.home.Token("logbook"))
	if err != nil {
		return nil, err
	}
	known, err := desk.Kept("matrix")
	if err == nil && known == nil {
		h.rooms["matrix"] = fmt.Appendf(nil, `{"user":%q}`, h.bot)
		err = desk.Accept(h.rooms)
	}
	if err != nil {
		return nil, err
	}
	return matrix.New(matrix.Config{
		Server: "http://" + servertest.Name, Token: token, Desk: desk, Guests: door, Log: c.Log, Through: h.way,
	})
}

func (h onMatrix) say(text string) string               { return h.phone.Say(text) }
func (h onMatrix) reply(to, text string) string         { return h.phone.Reply(to, text) }
func (h onMatrix) edit(name, text string)               { h.phone.Edit(name, text) }
func (h onMatrix) voice(length time.Duration) string    { return h.phone.Voice(length) }
func (h onMatrix) file(name string, body []byte) string { return h.phone.File(name, body) }

// relay forwards a text: it looks as if it were one's own.
func (h onMatrix) relay(text string) string { return h.phone.Say(text) }

func (h onMatrix) place(latDeg, lonDeg, accuracyM float64, _ bool) string {
	return h.phone.Place(latDeg, lonDeg, accuracyM)
}

func (h onMatrix) move(_ string, latDeg, lonDeg float64) { h.phone.Place(latDeg, lonDeg, 0) }

func (h onMatrix) posts() (names []string) {
	for _, m := range h.phone.Heard() {
		names = append(names, m.ID)
	}
	return names
}

func (h onMatrix) buttons(post string) (labels []string) {
	for _, m := range h.phone.Heard() {
		if m.ID == post {
			_, labels = m.Buttons()
		}
	}
	return labels
}

func (h onMatrix) tap(post string, button int) {
	if button < 9 {
		h.phone.Tap(post, strconv.Itoa(button+1)+"\ufe0f\u20e3")
		return
	}
	h.phone.Reply(post, strconv.Itoa(button+1))
}

func (h onMatrix) deeds(number func(string) string) (all []deed) {
	for _, m := range h.phone.History() {
		if m.Sender != h.bot {
			continue
		}
		var d deed
		switch {
		case m.Type == "m.reaction":
			rel, _ := m.Content["m.relates_to"].(map[string]any)
			d = deed{Op: string(storage.React), To: number(fmt.Sprint(rel["event_id"])), Text: fmt.Sprint(rel["key"])}
			if d.To[0] == 'b' {
				continue // a sign to be tapped
			}
		case m.Type != "m.room.message":
			continue
		case m.Edits() != "":
			d = deed{Op: string(storage.Edit), To: number(m.Edits())}
			m.Content, _ = m.Content["m.new_content"].(map[string]any)
			d.Text, d.Buttons = m.Buttons()
		default:
			d = h.sent(m)
			if to := m.Answers(); to != "" {
				d.To = number(to)
			}
		}
		all = append(all, d.comparable())
	}
	return all
}

// sent is a message of the bot's that is new.
func (h onMatrix) sent(m servertest.Message) deed {
	d := deed{Op: string(storage.Send), Silent: m.Content["msgtype"] == "m.notice"}
	d.Text, d.Buttons = m.Buttons()
	name := fmt.Sprint(m.Content["filename"])
	switch m.Content["msgtype"] {
	case "m.audio":
		d.Silent = true // no sound can be told from another
	case "m.file", "m.image":
		d.Op, d.File, d.Silent = string(storage.File), name+"\n"+string(h.phone.Download(m)), true
	default:
		return d
	}
	if d.Text == name {
		d.Text = "" // no words are with it
	}
	return d
}

// A file makes a sound on Matrix, so one that nobody has asked for is offered, silently,
// and comes on a tap.
func TestUnaskedFileIsOffered(t *testing.T) {
	const labelSky = "Picture of the sky"
	dir := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		s := newStage(t, dir, newOnMatrix(t))
		did := s.answers("/remind picture on\n~ 3m\n")
		sounds, offered := 0, 0
		for i, d := range did {
			switch {
			case !d.Silent:
				sounds++
			case slices.Equal(d.Buttons, []string{labelSky}):
				offered = i + 1
			case d.File != "":
				t.Errorf("a file came unasked: %s", d.Text)
			}
		}
		if sounds != 1 || offered == 0 {
			t.Fatalf("%d sounds, offered: %t: %+v", sounds, offered > 0, did)
		}
		did = s.answers(fmt.Sprintf("~ tap b%d %s\n", offered, labelSky))
		if len(did) != 1 || !strings.HasPrefix(did[0].File, "sky_WICKET-1") {
			t.Errorf("on the tap came %+v", did)
		}
	})
}

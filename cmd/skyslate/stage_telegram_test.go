package main

import (
	"slices"
	"strconv"
	"testing"
	"time"

	"skyslate/bot"
	"skyslate/bot/guests"
	loops "skyslate/bot/run"
	"skyslate/bot/telegram"
	"skyslate/bot/telegram/apitest"
	"skyslate/storage"
)

// onTelegram is the operator's phone on Telegram.
type onTelegram struct {
	t      *testing.T
	server *apitest.Server
	phone  *apitest.Phone
	number int64
	people *int64 // the number that was given last
}

func newOnTelegram(t *testing.T) handset {
	h := onTelegram{t: t, server: apitest.New("42:conformance"), people: new(int64(6))}
	return h.another("Inga")
}

// another is somebody else's phone there.
func (h onTelegram) another(name string) handset {
	*h.people++
	h.number = *h.people
	h.phone = h.server.Phone(h.number, name)
	h.phone.Known()
	return h
}

func (h onTelegram) operator() storage.OperatorID { return storage.OperatorID(named(h.number)) }

func (h onTelegram) connect(c bot.Config, desk *bot.Desk, door *guests.Guests) (loops.Transport, error) {
	token, err := telegram.ParseToken(h.server.Token)
	if err != nil {
		return nil, err
	}
	return telegram.New(telegram.Config{
		Token: token, Desk: desk, Guests: door, Log: c.Log, API: "http://service.invalid", Through: h.server,
	})
}

// named is the name of a message that the app numbers.
func named(id int64) string { return strconv.FormatInt(id, 10) }

func (h onTelegram) id(name string) int64 {
	id, err := strconv.ParseInt(name, 10, 64)
	if err != nil {
		h.t.Fatal(err)
	}
	return id
}

func (h onTelegram) say(text string) string       { return named(h.phone.Say(text)) }
func (h onTelegram) reply(to, text string) string { return named(h.phone.Reply(h.id(to), text)) }
func (h onTelegram) relay(text string) string     { return named(h.phone.Relay(text)) }
func (h onTelegram) edit(name, text string)       { h.phone.Edit(h.id(name), text) }
func (h onTelegram) move(name string, latDeg, lonDeg float64) {
	h.phone.Move(h.id(name), latDeg, lonDeg)
}
func (h onTelegram) voice(length time.Duration) string { return named(h.phone.Voice(length)) }
func (h onTelegram) file(name string, body []byte) string {
	return named(h.phone.Document(name, body, ""))
}

func (h onTelegram) place(latDeg, lonDeg, accuracyM float64, live bool) string {
	return named(h.phone.Place(latDeg, lonDeg, accuracyM, live))
}

func (h onTelegram) posts() (names []string) {
	for _, m := range h.phone.Chat() {
		if !m.Mine() {
			names = append(names, named(m.ID))
		}
	}
	return names
}

func (h onTelegram) buttons(post string) (labels []string) {
	for _, m := range h.phone.Chat() {
		if named(m.ID) == post {
			labels = slices.Concat(m.Buttons()...)
		}
	}
	return labels
}

func (h onTelegram) tap(post string, button int) {
	if err := h.phone.Tap(h.id(post), h.buttons(post)[button]); err != nil {
		h.t.Fatal(err)
	}
}

func (h onTelegram) deeds(number func(string) string) (all []deed) {
	for _, did := range h.phone.Deeds() {
		m := did.Message
		d := deed{Text: m.Text, Silent: m.Silent, Buttons: slices.Concat(m.Buttons()...)}
		switch did.Method {
		case "setMessageReaction":
			d = deed{Op: string(storage.React), To: number(named(m.ID)), Text: m.Reaction}
		case "editMessageText":
			d.Op, d.To = string(storage.Edit), number(named(m.ID))
		case "sendDocument":
			d.Op, d.Text = string(storage.File), m.Caption
			d.File = m.Document.Name + "\n" + string(m.Body)
		case "sendPhoto":
			d.Op, d.Text = string(storage.File), m.Caption
			d.File = m.Photo[0].Name + "\n" + string(m.Body)
		case "sendVoice":
			d.Op, d.Text = string(storage.Send), m.Caption
		default:
			d.Op = string(storage.Send)
		}
		if m.ReplyTo != nil && d.To == "" {
			d.To = number(named(m.ReplyTo.ID))
		}
		all = append(all, d.comparable())
	}
	return all
}

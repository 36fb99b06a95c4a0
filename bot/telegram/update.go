package telegram

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"

	"skyslate/bot/event"
	"skyslate/storage"
)

// The shapes of an update, as far as they are used. The library's own can't be
// used here: it fails on a whole update for one kind of content that it doesn't
// know.
type update struct {
	ID         int64       `json:"update_id"`
	Message    *message    `json:"message"`
	Edited     *message    `json:"edited_message"`
	Tap        *tap        `json:"callback_query"`
	Membership *membership `json:"my_chat_member"`
}

type message struct {
	ID       int64     `json:"message_id"`
	From     *person   `json:"from"`
	Chat     chat      `json:"chat"`
	Date     int64     `json:"date"`
	EditDate int64     `json:"edit_date"`
	Text     string    `json:"text"`
	Caption  string    `json:"caption"`
	Location *location `json:"location"`
	Document *media    `json:"document"`
	Voice    *media    `json:"voice"`
	Audio    *media    `json:"audio"`
	Round    *media    `json:"video_note"`
	Origin   any       `json:"forward_origin"` // of what is passed on, nil otherwise
	ReplyTo  *struct {
		ID int64 `json:"message_id"`
	} `json:"reply_to_message"`
}

type person struct {
	ID    int64 `json:"id"`
	IsBot bool  `json:"is_bot"`
}

type chat struct {
	ID   int64  `json:"id"`
	Type string `json:"type"`
}

type location struct {
	Latitude   float64 `json:"latitude"`
	Longitude  float64 `json:"longitude"`
	Accuracy   float64 `json:"horizontal_accuracy"`
	LivePeriod int64   `json:"live_period"`
}

type media struct {
	FileID   string `json:"file_id"`
	Name     string `json:"file_name"`
	Size     int64  `json:"file_size"`
	Duration int64  `json:"duration"`
}

type tap struct {
	ID      string   `json:"id"`
	From    person   `json:"from"`
	Message *message `json:"message"` // date 0: too old to be shown, but its id is there
	Data    string   `json:"data"`
}

// membership is the bot's own place in a chat.
type membership struct {
	Chat chat   `json:"chat"`
	From person `json:"from"`
	New  struct {
		Status string `json:"status"`
	} `json:"new_chat_member"`
}

// sender is who did it and where; ok is false for what can't be told.
func (u update) sender() (from person, where chat, ok bool) {
	switch {
	case u.Message != nil && u.Message.From != nil:
		return *u.Message.From, u.Message.Chat, true
	case u.Edited != nil && u.Edited.From != nil:
		return *u.Edited.From, u.Edited.Chat, true
	case u.Tap != nil && u.Tap.Message != nil:
		return u.Tap.From, u.Tap.Message.Chat, true
	}
	return person{}, chat{}, false
}

// writer is who an update is from, also where it can't be read whole; 0 if that
// can't be told.
func writer(raw json.RawMessage) int64 {
	var parts map[string]json.RawMessage
	if json.Unmarshal(raw, &parts) != nil {
		return 0
	}
	for _, kind := range kinds {
		var who struct {
			From struct {
				ID int64 `json:"id"`
			} `json:"from"`
		}
		if json.Unmarshal(parts[kind], &who) == nil && who.From.ID != 0 {
			return who.From.ID
		}
	}
	return 0
}

// asStart is a message's update with a start in place of what was written.
func (u update) asStart() json.RawMessage {
	msg := message{ID: u.Message.ID, From: u.Message.From, Chat: u.Message.Chat, Date: u.Message.Date, Text: "/start"}
	raw, _ := json.Marshal(map[string]any{"update_id": u.ID, "message": msg}) // it holds nothing that can't be written
	return raw
}

// received is the raw form of what came in.
type received struct {
	Update json.RawMessage `json:"update"`
	File   *event.Document `json:"file,omitempty"` // fetched meanwhile
	Lost   event.Lost      `json:"lost,omitempty"` // or why not
}

// Prefix is what the IDs of all that comes in begin with, up to a slash.
const Prefix = "tg"

// rawID names an update for good.
func rawID(id int64) string { return Prefix + "/" + strconv.FormatInt(id, 10) }

func (r received) encode(id string, at time.Time) (storage.Raw, error) {
	body, err := json.Marshal(r)
	raw := storage.Raw{ID: id, At: at, Body: body}
	if from := writer(r.Update); from != 0 {
		raw.From = operatorID(from)
	}
	return raw, err
}

// Decode makes an event of a stored update: an [event.Decoder]. The service numbers
// messages. With an error the event holds at most the operator: whose update it was may
// be known of one that can't be read.
func Decode(_ *storage.View, raw storage.Raw) (event.Event, error) {
	var r received
	if err := json.Unmarshal(raw.Body, &r); err != nil {
		return event.Event{}, fmt.Errorf("update %s: %w", raw.ID, err)
	}
	e, err := r.decode(raw)
	if err == nil {
		return e, nil
	}
	e = event.Event{}
	if id := writer(r.Update); id != 0 {
		e.Operator = operatorID(id)
	}
	return e, fmt.Errorf("update %s: %w", raw.ID, err)
}

func (r received) decode(raw storage.Raw) (event.Event, error) {
	var u update
	if err := json.Unmarshal(r.Update, &u); err != nil {
		return event.Event{}, err
	}
	from, _, ok := u.sender()
	if !ok {
		return event.Event{}, errors.New("it is of no kind that is known here")
	}
	e := event.Event{ID: raw.ID, Operator: operatorID(from.ID), At: raw.At}
	switch {
	case u.Message != nil:
		u.Message.said(&e, r)
	case u.Edited != nil:
		u.Edited.edited(&e)
	default:
		e.Kind, e.Post, e.Data = event.Tapped, u.Tap.Message.ID, u.Tap.Data
	}
	return e, nil
}

// Serves reports whether somebody may be of this service: it numbers people.
func Serves(op storage.OperatorID) bool {
	_, err := strconv.ParseInt(string(op), 10, 64)
	return err == nil
}

func operatorID(n int64) storage.OperatorID {
	return storage.OperatorID(strconv.FormatInt(n, 10))
}

// said is a new message.
func (m *message) said(e *event.Event, r received) {
	e.Message, e.At, e.Forwarded = m.ID, unix(m.Date), m.Origin != nil
	if m.ReplyTo != nil {
		e.ReplyTo = m.ReplyTo.ID
	}
	e.Text = m.words()
	voice := cmp.Or(m.Voice, m.Audio, m.Round)
	switch {
	case m.Location != nil:
		e.Kind, e.Spot = event.Placed, m.Location.spot(m.Location.LivePeriod > 0)
	case m.Document != nil:
		e.Kind, e.File, e.Lost = event.Handed, r.File, r.Lost
	case voice != nil:
		e.Kind, e.Length = event.Spoken, time.Duration(voice.Duration)*time.Second
		if m.Voice != nil {
			e.Voice = m.Voice.FileID // what else was recorded can't be given back as a voice
		}
	case e.Text != "":
		e.Kind = event.Said // also what is written under a picture
	default:
		e.Kind = event.Other
	}
}

// edited is a change of a message. The last change of a live location says no
// more that it is one; it still is no new place that was set by hand.
func (m *message) edited(e *event.Event) {
	e.Message, e.At, e.Forwarded = m.ID, unix(cmp.Or(m.EditDate, m.Date)), m.Origin != nil
	if m.Location != nil {
		e.Kind, e.Spot = event.Placed, m.Location.spot(true)
		return
	}
	e.Kind, e.Text = event.Edited, m.words()
}

func (m *message) words() string { return cmp.Or(m.Text, m.Caption) }

func (l *location) spot(live bool) *event.Spot {
	return &event.Spot{LatDeg: l.Latitude, LonDeg: l.Longitude, AccuracyM: l.Accuracy, Live: live}
}

func unix(s int64) time.Time { return time.Unix(s, 0).UTC() }

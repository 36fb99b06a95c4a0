package matrix

import (
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/storage"
)

// fields are those of a JSON object, each to be read by itself: people can send any
// form of any of them, and servers let it pass.
type fields map[string]json.RawMessage

func (f fields) text(key string) (s string) {
	_ = json.Unmarshal(f[key], &s) // empty where it is none
	return s
}

func (f fields) number(key string) (n float64) {
	_ = json.Unmarshal(f[key], &n) // 0 where it is none
	return n
}

func (f fields) object(key string) (o fields) {
	_ = json.Unmarshal(f[key], &o) // empty where it is none
	return o
}

// The types of events that are read here.
const (
	typeMessage  = "m.room.message"
	typeReaction = "m.reaction"
	typeSticker  = "m.sticker"
	typeMember   = "m.room.member"
	typeCreate   = "m.room.create"
	typePinned   = "m.room.pinned_events"
)

// happening is an event of a room, as far as it is used.
type happening struct {
	id, kind, sender string
	state            bool // it says how the room is
	stateKey         string
	at               time.Time // zero: not known
	content          fields
}

// readHappening reads an event. Not whole: what is needed to tell its kind and sender
// is not there.
func readHappening(raw json.RawMessage) (h happening, whole bool) {
	var f fields
	_ = json.Unmarshal(raw, &f) // empty where it is no object
	h = happening{id: f.text("event_id"), kind: f.text("type"), sender: f.text("sender"), stateKey: f.text("state_key")}
	_, h.state = f["state_key"]
	if ms := f.number("origin_server_ts"); ms > 0 && ms < 1e14 {
		h.at = time.UnixMilli(int64(ms)).UTC()
	}
	return h, h.id != "" && h.kind != "" && h.sender != "" && json.Unmarshal(f["content"], &h.content) == nil
}

// edits is the name of the message that a message changes; empty: none.
func (h happening) edits() string {
	if rel := h.content.object("m.relates_to"); rel.text("rel_type") == "m.replace" {
		return rel.text("event_id")
	}
	return ""
}

// answers is the name of the message that a message replies to; in a thread, an app
// that knows none is shown the last message instead.
func answers(content fields) string {
	rel := content.object("m.relates_to")
	var fallback bool
	_ = json.Unmarshal(rel["is_falling_back"], &fallback) // false where it is none
	if fallback {
		return ""
	}
	return rel.object("m.in_reply_to").text("event_id")
}

// words are what a person has written with a message.
func words(content fields) string {
	body := content.text("body")
	switch content.text("msgtype") {
	case "m.file", "m.image", "m.video", "m.audio":
		if name := content.text("filename"); name == "" || name == body {
			return "" // the body is the file's name
		}
	case "m.location":
		return ""
	}
	if answers(content) != "" {
		return withoutQuote(body)
	}
	return body
}

// withoutQuote drops the message answered, which older apps repeat before the answer.
func withoutQuote(body string) string {
	if !strings.HasPrefix(body, "> <@") {
		return body
	}
	for strings.HasPrefix(body, ">") {
		_, body, _ = strings.Cut(body, "\n")
	}
	return strings.TrimPrefix(body, "\n")
}

// received is the raw form of what came in.
type received struct {
	Event json.RawMessage `json:"event"`
	Start bool            `json:"start,omitempty"` // it counts as a start, whatever it is
	File  *event.Document `json:"file,omitempty"`  // fetched meanwhile
	Lost  event.Lost      `json:"lost,omitempty"`  // or why not
}

// Prefix is what the IDs of all that comes in begin with, up to a slash.
const Prefix = "mx"

// rawID names an event for good.
func rawID(h happening, raw json.RawMessage) string {
	if h.id != "" && len(h.id) <= 255 {
		return Prefix + "/" + h.id
	}
	sum := fnv.New64a()
	sum.Write(raw) // a hash never fails
	return fmt.Sprintf(Prefix+"/#%016x", sum.Sum64())
}

// encode is an event as it waits for the worker. The message that it is, or changes,
// is numbered.
func (r received) encode(op storage.OperatorID, h happening, at time.Time) (storage.Raw, error) {
	body, err := json.Marshal(r)
	raw := storage.Raw{ID: rawID(h, r.Event), From: op, At: at, Body: body}
	if h.kind == typeMessage || h.kind == typeSticker {
		raw.Name = h.edits()
		if raw.Name == "" {
			raw.Name = h.id
		}
	}
	return raw, err
}

// Serves reports whether somebody may be of this app: it names people @name:server.
func Serves(op storage.OperatorID) bool {
	name, server, ok := strings.Cut(string(op), ":")
	return ok && len(op) <= 255 && len(name) > 1 && name[0] == '@' && server != "" &&
		!strings.ContainsFunc(string(op), func(r rune) bool { return r <= ' ' || r == 0x7f })
}

// Decode makes an event of a stored one: an [event.Decoder]. What says nothing here
// (an edit of somebody else's message, a tap on what is no button) is an event of no
// kind. With an error the event holds the operator.
func Decode(v *storage.View, raw storage.Raw) (event.Event, error) {
	nobody := event.Event{Operator: raw.From}
	var r received
	if err := json.Unmarshal(raw.Body, &r); err != nil {
		return nobody, fmt.Errorf("event %s: %w", raw.ID, err)
	}
	h, whole := readHappening(r.Event)
	if !whole {
		return nobody, fmt.Errorf("event %s: its name, type, sender or content can't be read", raw.ID)
	}
	e := event.Event{ID: raw.ID, Operator: raw.From, At: raw.At, Message: v.Number(raw.From, raw.Name)}
	if !h.at.IsZero() && h.at.Before(raw.At) {
		e.At = h.at
	}
	switch {
	case r.Start:
		e.Kind, e.Text = event.Said, "/start"
	case h.kind == typeReaction:
		rel := h.content.object("m.relates_to")
		i, ok := signed(rel.text("key"))
		e.Message = 0
		return e, tapped(v, &e, v.Number(raw.From, rel.text("event_id")), i, ok)
	case h.edits() != "":
		return e, h.edited(v, &e)
	default:
		return e, h.said(v, &e, r)
	}
	return e, nil
}

// edited is a change of a message; that of one of ours says nothing.
func (h happening) edited(v *storage.View, e *event.Event) error {
	_, ours, err := v.PostByApp(e.Operator, e.Message)
	if !ours {
		e.Kind, e.Text = event.Edited, words(h.content.object("m.new_content"))
	}
	return err
}

// said is a new message.
func (h happening) said(v *storage.View, e *event.Event, r received) error {
	e.ReplyTo = v.Number(e.Operator, answers(h.content))
	e.Text = words(h.content)
	switch h.content.text("msgtype") {
	case "m.location":
		spot, err := readSpot(h.content.text("geo_uri"))
		if err != nil {
			return err
		}
		e.Kind, e.Spot = event.Placed, spot
	case "m.file":
		e.Kind, e.File, e.Lost = event.Handed, r.File, r.Lost
	case "m.audio":
		ms := h.content.object("info").number("duration")
		e.Kind, e.Length = event.Spoken, time.Duration(min(max(ms, 0), 86_400_000))*time.Millisecond
		e.Voice = h.content.text("url")
	default:
		e.Kind = event.Said // also what is written under a picture
		if e.Text == "" {
			e.Kind = event.Other
			return nil
		}
		return numberTyped(v, e)
	}
	return nil
}

// numberTyped makes a tap of a number that was typed in reply to a post with buttons, or
// while the newest has some.
func numberTyped(v *storage.View, e *event.Event) error {
	n, err := strconv.Atoi(strings.TrimSpace(e.Text))
	if err != nil || n < 1 {
		return nil
	}
	post, _, err := v.NewestPost(e.Operator)
	if e.ReplyTo != 0 {
		post, _, err = v.PostByApp(e.Operator, e.ReplyTo)
	}
	if err != nil || n > len(buttonsOf(post)) {
		return err
	}
	e.Text, e.ReplyTo = "", 0
	return tapped(v, e, post.AppID, n-1, true)
}

// buttonsOf are a post's buttons as it was shown: see [Transport.send].
func buttonsOf(post storage.Post) []storage.Button {
	all := flat(post.Buttons)
	if post.Offer != nil {
		all = append(all, *post.Offer)
	}
	return all
}

// tapped is a tap of a post's button.
func tapped(v *storage.View, e *event.Event, number int64, i int, ok bool) error {
	post, out, err := v.PostByApp(e.Operator, number)
	if buttons := buttonsOf(post); err == nil && ok && out && i < len(buttons) {
		e.Kind, e.Post, e.Data = event.Tapped, number, buttons[i].Data
	}
	return err
}

// mostSigns are the buttons of a post that can be tapped.
const mostSigns = 10

// sign is what is tapped for a button; the eleventh and later have a number alone.
func sign(i int) string {
	switch {
	case i < 9:
		return strconv.Itoa(i+1) + "\ufe0f\u20e3"
	case i == 9:
		return "🔟"
	}
	return strconv.Itoa(i + 1)
}

// signed is the button of a sign. Apps differ in the selector that makes a sign
// colourful (from memory).
func signed(key string) (i int, ok bool) {
	plain := func(s string) string { return strings.ReplaceAll(s, "\ufe0f", "") }
	for i := range mostSigns {
		if plain(sign(i)) == plain(key) {
			return i, true
		}
	}
	return 0, false
}

// readSpot reads a place: RFC 5870, as far as apps write it.
func readSpot(uri string) (*event.Spot, error) {
	place, ok := strings.CutPrefix(uri, "geo:")
	parts := strings.Split(place, ";")
	degrees := strings.Split(parts[0], ",")
	if !ok || len(degrees) < 2 {
		return nil, errors.New("it holds no place")
	}
	lat, err1 := strconv.ParseFloat(degrees[0], 64)
	lon, err2 := strconv.ParseFloat(degrees[1], 64)
	if err1 != nil || err2 != nil || !(lat >= -90 && lat <= 90) || !(lon >= -180 && lon <= 180) {
		return nil, errors.New("it holds no place on earth")
	}
	spot := &event.Spot{LatDeg: lat, LonDeg: lon}
	for _, p := range parts[1:] {
		if u, ok := strings.CutPrefix(p, "u="); ok {
			if m, err := strconv.ParseFloat(u, 64); err == nil && m > 0 && m < 1e8 {
				spot.AccuracyM = m
			}
		}
	}
	return spot, nil
}

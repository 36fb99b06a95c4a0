package apitest

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Phone is a person's phone in one chat with the bot.
type Phone struct {
	server *Server
	user   User
	room   Room
}

// Phone returns the phone of a person, in the private chat with the bot.
func (s *Server) Phone(id int64, firstName string) *Phone {
	return &Phone{s, User{ID: id, FirstName: firstName}, Room{ID: id, Type: "private", FirstName: firstName}}
}

// Group returns the same phone in a group (its id is negative), to which the
// person has just added the bot.
func (p *Phone) Group(id int64, title string) *Phone {
	g := &Phone{p.server, p.user, Room{ID: id, Type: "group", Title: title}}
	s := p.server
	s.mu.Lock()
	defer s.mu.Unlock()
	s.chat(g.room).left = false
	g.member("left", "member")
	return g
}

// member tells the bot of its own standing in the chat. The caller holds mu.
func (p *Phone) member(before, after string) {
	standing := func(status string) map[string]any {
		return map[string]any{"user": p.server.bot(), "status": status}
	}
	p.server.push("my_chat_member", map[string]any{
		"chat": p.room, "from": p.user, "date": time.Now().Unix(),
		"old_chat_member": standing(before), "new_chat_member": standing(after),
	})
}

// put puts a message of the person's into the chat and tells the bot. The caller
// holds mu.
func (p *Phone) put(m Message) int64 {
	s := p.server
	c := s.chat(p.room)
	c.started = true
	m.From = p.user
	sent := s.add(c, m)
	s.push("message", sent.shown())
	return sent.ID
}

func (p *Phone) say(m Message) int64 {
	p.server.mu.Lock()
	defer p.server.mu.Unlock()
	return p.put(m)
}

// Known makes the chat one in which the person has written long ago, so that
// the bot may write first.
func (p *Phone) Known() {
	p.server.mu.Lock()
	defer p.server.mu.Unlock()
	p.server.chat(p.room).started = true
}

// Say sends a text and returns the message's id.
func (p *Phone) Say(text string) int64 { return p.say(Message{Text: text}) }

// Reply answers a message, either side's.
func (p *Phone) Reply(to int64, text string) int64 {
	p.server.mu.Lock()
	defer p.server.mu.Unlock()
	return p.put(Message{Text: text, ReplyTo: p.find(to)})
}

// voiceID is the reference to the one voice message that phones send.
const voiceID = "voice"

// Voice sends a voice message.
func (p *Phone) Voice(length time.Duration) int64 {
	return p.say(Message{Voice: &Media{FileID: voiceID, UniqueID: "v", Duration: int(length.Seconds()), MIME: "audio/ogg", Size: 9000}})
}

// Document sends a file.
func (p *Phone) Document(name string, body []byte, caption string) int64 {
	p.server.mu.Lock()
	defer p.server.mu.Unlock()
	return p.put(Message{Document: p.server.store(name, body), Caption: caption, Body: body})
}

// Place shares a location; a live one moves later.
func (p *Phone) Place(latDeg, lonDeg, accuracyM float64, live bool) int64 {
	l := &Location{Latitude: latDeg, Longitude: lonDeg, Accuracy: accuracyM}
	if live {
		l.LivePeriod = 900
	}
	return p.say(Message{Location: l})
}

// Move moves a live location.
func (p *Phone) Move(id int64, latDeg, lonDeg float64) {
	p.edit(id, func(m *Message) {
		l := *m.Location
		l.Latitude, l.Longitude = latDeg, lonDeg
		m.Location = &l
	})
}

// Edit changes the text of a message that was sent.
func (p *Phone) Edit(id int64, text string) {
	p.edit(id, func(m *Message) { m.Text = text })
}

func (p *Phone) edit(id int64, change func(*Message)) {
	p.change(id, func(m *Message) {
		change(m)
		m.EditDate = time.Now().Unix()
		m.Edits++
		p.server.push("edited_message", m.shown())
	})
}

// Delete removes a message; the bot is not told.
func (p *Phone) Delete(id int64) { p.change(id, func(m *Message) { m.Deleted = true }) }

// Forget makes a message one that the service shows no more when it is tapped.
func (p *Phone) Forget(id int64) { p.change(id, func(m *Message) { m.Forgotten = true }) }

// change changes a message while nobody else looks.
func (p *Phone) change(id int64, change func(*Message)) {
	p.server.mu.Lock()
	defer p.server.mu.Unlock()
	change(p.find(id))
}

// Tap taps the button of a post that has this label.
func (p *Phone) Tap(post int64, label string) error {
	s := p.server
	s.mu.Lock()
	defer s.mu.Unlock()
	m := p.find(post)
	if m.Inline == nil {
		return fmt.Errorf("post %d has no buttons", post)
	}
	for _, b := range slices.Concat(m.Inline.Rows...) {
		if b.Text == label {
			s.tap(p, m, b)
			return nil
		}
	}
	return fmt.Errorf("post %d has no button %q, only %q", post, label, m.Buttons())
}

func (s *Server) tap(p *Phone, m *Message, b Button) {
	id := fmt.Sprintf("tap-%d", len(s.taps)+1)
	s.taps[id] = &tapping{at: time.Now()}
	var under any = m.shown()
	if m.Forgotten {
		under = m.inaccessible()
	}
	s.push("callback_query", map[string]any{
		"id": id, "from": p.user, "message": under, "chat_instance": "1", "data": b.Data,
	})
}

// Block makes the person block the bot, or let it in again.
func (p *Phone) Block(blocked bool) {
	s := p.server
	s.mu.Lock()
	defer s.mu.Unlock()
	s.chat(p.room).blocked = blocked
	if blocked {
		p.member("member", "kicked")
	} else {
		p.member("kicked", "member")
	}
}

// find returns a message; a test that names one that is not there is wrong. The
// caller holds mu.
func (p *Phone) find(id int64) *Message {
	m := p.server.chat(p.room).message(id)
	if m == nil {
		panic(fmt.Sprintf("chat %d has no message %d", p.room.ID, id))
	}
	return m
}

// Chat returns the messages of the chat, either side's, as they stand now.
func (p *Phone) Chat() []Message {
	s := p.server
	s.mu.Lock()
	defer s.mu.Unlock()
	var all []Message
	for _, m := range s.chat(p.room).messages {
		if !m.Deleted {
			all = append(all, m.shown())
		}
	}
	return all
}

// Deeds returns what the bot did in the chat, in order: messages and documents
// sent, texts edited, reactions set.
func (p *Phone) Deeds() []Deed {
	s := p.server
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.DeleteFunc(slices.Clone(s.deeds), func(d Deed) bool { return d.Message.Chat.ID != p.room.ID })
}

// Left reports whether the bot has left the group.
func (p *Phone) Left() bool {
	p.server.mu.Lock()
	defer p.server.mu.Unlock()
	return p.server.chat(p.room).left
}

// Wait waits until the chat is as wanted.
func (p *Phone) Wait(ctx context.Context, wanted func([]Message) bool) ([]Message, error) {
	for {
		p.server.mu.Lock()
		changed := p.server.changed
		p.server.mu.Unlock()
		if all := p.Chat(); wanted(all) {
			return all, nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return p.Chat(), ctx.Err()
		}
	}
}

// Menu returns the commands that the bot has set.
func (s *Server) Menu() []Command {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.commands)
}

// Calls is how often a method was called.
func (s *Server) Calls(method string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.counts[strings.ToLower(method)]
}

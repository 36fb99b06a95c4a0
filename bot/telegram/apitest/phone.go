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

// inChat works on the chat while nobody else does.
func (p *Phone) inChat(do func(c *chat)) {
	p.server.mu.Lock()
	defer p.server.mu.Unlock()
	do(p.server.chat(p.room))
}

// Group returns the same phone in a group (its id is negative), to which the
// person has just added the bot.
func (p *Phone) Group(id int64, title string) *Phone {
	g := &Phone{p.server, p.user, Room{ID: id, Type: "group", Title: title}}
	g.inChat(func(c *chat) {
		c.left = false
		g.member("left", "member")
	})
	return g
}

// Block makes the person block the bot, or let it in again.
func (p *Phone) Block(blocked bool) {
	before, after := "member", "kicked"
	if !blocked {
		before, after = after, before
	}
	p.inChat(func(c *chat) {
		c.blocked = blocked
		p.member(before, after)
	})
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

// Known makes the chat one in which the person has written long ago, so that
// the bot may write first.
func (p *Phone) Known() { p.inChat(func(c *chat) { c.started = true }) }

// send puts a message of the person's into the chat and tells the bot.
func (p *Phone) send(fill func(c *chat, m *Message)) (id int64) {
	p.inChat(func(c *chat) {
		m := Message{From: p.user}
		fill(c, &m)
		c.started = true
		sent := p.server.add(c, m)
		p.server.push("message", sent.shown())
		id = sent.ID
	})
	return id
}

// Say sends a text and returns the message's id.
func (p *Phone) Say(text string) int64 {
	return p.send(func(_ *chat, m *Message) { m.Text = text })
}

// Reply answers a message, either side's.
func (p *Phone) Reply(to int64, text string) int64 {
	return p.send(func(c *chat, m *Message) { m.Text, m.ReplyTo = text, c.mustHave(to) })
}

// Relay forwards a text that somebody else wrote.
func (p *Phone) Relay(text string) int64 {
	return p.send(func(_ *chat, m *Message) {
		m.Text, m.Origin = text, &Origin{Type: "hidden_user", Name: "a friend"}
	})
}

// voiceID is the reference to the one voice message that phones send.
const voiceID = "voice"

// Voice sends a voice message.
func (p *Phone) Voice(length time.Duration) int64 {
	return p.send(func(_ *chat, m *Message) {
		m.Voice = &Media{FileID: voiceID, UniqueID: "v", Duration: int(length.Seconds()), MIME: "audio/ogg", Size: 9000}
	})
}

// Document sends a file.
func (p *Phone) Document(name string, body []byte, caption string) int64 {
	return p.send(func(_ *chat, m *Message) {
		m.Document, m.Caption, m.Body = p.server.store(name, body), caption, body
	})
}

// Place shares a location; a live one moves later.
func (p *Phone) Place(latDeg, lonDeg, accuracyM float64, live bool) int64 {
	l := &Location{Latitude: latDeg, Longitude: lonDeg, Accuracy: accuracyM}
	if live {
		l.LivePeriod = 900
	}
	return p.send(func(_ *chat, m *Message) { m.Location = l })
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
	p.inChat(func(c *chat) {
		m := c.mustHave(id)
		change(m)
		m.EditDate = time.Now().Unix()
		m.Edits++
		p.server.push("edited_message", m.shown())
	})
}

// Delete removes a message; the bot is not told.
func (p *Phone) Delete(id int64) { p.inChat(func(c *chat) { c.mustHave(id).Deleted = true }) }

// Forget makes a message one that the service shows no more when it is tapped.
func (p *Phone) Forget(id int64) { p.inChat(func(c *chat) { c.mustHave(id).Forgotten = true }) }

// Tap taps the button of a post that has this label.
func (p *Phone) Tap(post int64, label string) (err error) {
	p.inChat(func(c *chat) {
		m := c.mustHave(post)
		if m.Inline == nil {
			err = fmt.Errorf("post %d has no buttons", post)
			return
		}
		buttons := slices.Concat(m.Inline.Rows...)
		i := slices.IndexFunc(buttons, func(b Button) bool { return b.Text == label })
		if i < 0 {
			err = fmt.Errorf("post %d has no button %q, only %q", post, label, m.Buttons())
			return
		}
		p.tap(m, buttons[i])
	})
	return err
}

func (p *Phone) tap(m *Message, b Button) {
	s := p.server
	id := fmt.Sprintf("tap-%d", s.last+1)
	s.taps[id] = time.Now()
	var under any = m.shown()
	if m.Forgotten { // its id is all that the service still tells
		under = map[string]any{"chat": m.Chat, "message_id": m.ID, "date": 0}
	}
	s.push("callback_query", map[string]any{
		"id": id, "from": p.user, "message": under, "chat_instance": "1", "data": b.Data,
	})
}

// Chat returns the messages of the chat, either side's, as they stand now.
func (p *Phone) Chat() (all []Message) {
	p.inChat(func(c *chat) {
		for _, m := range c.messages {
			if !m.Deleted {
				all = append(all, m.shown())
			}
		}
	})
	return all
}

// Deeds returns what the bot did in the chat, in order: messages and documents
// sent, texts edited, reactions set.
func (p *Phone) Deeds() (all []Deed) {
	return slices.DeleteFunc(p.server.Deeds(), func(d Deed) bool { return d.Message.Chat.ID != p.room.ID })
}

// Left reports whether the bot has left the group.
func (p *Phone) Left() (left bool) {
	p.inChat(func(c *chat) { left = c.left })
	return left
}

// Wait waits until the chat is as wanted.
func (p *Phone) Wait(ctx context.Context, wanted func([]Message) bool) ([]Message, error) {
	for {
		var changed chan struct{}
		p.inChat(func(*chat) { changed = p.server.changed })
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

// Deeds returns what the bot did in all chats, in order.
func (s *Server) Deeds() []Deed {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.deeds)
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

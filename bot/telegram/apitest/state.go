package apitest

import (
	"fmt"
	"time"
	"unicode/utf16"
)

// User is a person or the bot.
type User struct {
	ID        int64  `json:"id"`
	IsBot     bool   `json:"is_bot"`
	FirstName string `json:"first_name"`
	UserName  string `json:"username,omitempty"`
}

// Room is a chat as updates name it.
type Room struct {
	ID        int64  `json:"id"`
	Type      string `json:"type"` // "private", "group"
	FirstName string `json:"first_name,omitempty"`
	Title     string `json:"title,omitempty"`
}

// Message is a message in a chat, either side's. The fields with a JSON name
// are what the service tells of it.
type Message struct {
	ID       int64     `json:"message_id"`
	From     User      `json:"from"`
	Chat     Room      `json:"chat"`
	Date     int64     `json:"date"` // Unix seconds, the server's receipt
	EditDate int64     `json:"edit_date,omitempty"`
	Text     string    `json:"text,omitempty"`
	Caption  string    `json:"caption,omitempty"`
	Entities []Entity  `json:"entities,omitempty"` // of the text, or of the caption
	ReplyTo  *Message  `json:"reply_to_message,omitempty"`
	Origin   *Origin   `json:"forward_origin,omitempty"`
	Location *Location `json:"location,omitempty"`
	Voice    *Media    `json:"voice,omitempty"`
	Document *Media    `json:"document,omitempty"`
	Photo    []Media   `json:"photo,omitempty"` // one size is enough
	Inline   *Keyboard `json:"reply_markup,omitempty"`

	At        time.Time `json:"-"` // Date, exactly
	Silent    bool      `json:"-"`
	Previews  bool      `json:"-"` // links in it would be previewed
	Keys      string    `json:"-"` // a keyboard in place of the phone's own: its JSON
	Reaction  string    `json:"-"` // the bot's
	Edits     int       `json:"-"` // how often it was edited
	Pinned    bool      `json:"-"`
	PinRang   bool      `json:"-"` // pinned with a sound
	Body      []byte    `json:"-"` // of a document or a photo
	Deleted   bool      `json:"-"`
	Forgotten bool      `json:"-"` // too old for the service to show with a tap
}

// Origin says who wrote a message that was forwarded: here somebody who shows no more
// than a name.
type Origin struct {
	Type string `json:"type"`
	Name string `json:"sender_user_name"`
	Date int64  `json:"date"`
}

// Entity is a part of a text that is shown in a style, in units of UTF-16.
type Entity struct {
	Type   string `json:"type"`
	Offset int    `json:"offset"`
	Length int    `json:"length"`
}

// Shown are the parts of a text or a caption that are of a type of entity.
func (m Message) Shown(kind string) []string {
	var parts []string
	units := utf16.Encode([]rune(m.Text + m.Caption))
	for _, e := range m.Entities {
		if e.Type == kind {
			parts = append(parts, string(utf16.Decode(units[e.Offset:e.Offset+e.Length])))
		}
	}
	return parts
}

// Mine reports whether the person wrote it.
func (m Message) Mine() bool { return !m.From.IsBot }

// Buttons returns the labels of the inline buttons, row by row.
func (m Message) Buttons() [][]string {
	if m.Inline == nil {
		return nil
	}
	rows := make([][]string, len(m.Inline.Rows))
	for i, row := range m.Inline.Rows {
		for _, b := range row {
			rows[i] = append(rows[i], b.Text)
		}
	}
	return rows
}

// Location is a place on the map.
type Location struct {
	Latitude   float64 `json:"latitude"`
	Longitude  float64 `json:"longitude"`
	Accuracy   float64 `json:"horizontal_accuracy,omitempty"`
	LivePeriod int     `json:"live_period,omitempty"`
}

// Media is a voice message or a document.
type Media struct {
	FileID   string `json:"file_id"`
	UniqueID string `json:"file_unique_id"`
	Name     string `json:"file_name,omitempty"`
	MIME     string `json:"mime_type,omitempty"`
	Size     int    `json:"file_size"`
	Duration int    `json:"duration,omitempty"`
}

// Keyboard is the buttons under a message.
type Keyboard struct {
	Rows [][]Button `json:"inline_keyboard"`
}

// Button is one of them.
type Button struct {
	Text string `json:"text"`
	Data string `json:"callback_data,omitempty"`
}

// Command is an entry of the bot's menu.
type Command struct {
	Name        string `json:"command"`
	Description string `json:"description"`
}

// Deed is one thing that the bot did: when, the method, as the Bot API writes it,
// and the message as it stood then.
type Deed struct {
	At      time.Time
	Method  string
	Message Message
}

// chat is what the service keeps of a chat.
type chat struct {
	room     Room
	messages []*Message
	lastID   int64
	started  bool // the person has written, so the bot may
	blocked  bool
	left     bool // a group that the bot is not in
	bucket   float64
	filled   time.Time
}

func (s *Server) bot() User {
	return User{ID: 42, IsBot: true, FirstName: "skyslate under test", UserName: s.Name}
}

// chat finds or makes a chat. The caller holds mu.
func (s *Server) chat(room Room) *chat {
	c := s.chats[room.ID]
	if c == nil {
		c = &chat{room: room, bucket: burst, filled: time.Now()}
		s.chats[room.ID] = c
	}
	return c
}

// add puts a message into a chat under the next id.
func (s *Server) add(c *chat, m Message) *Message {
	c.lastID++
	m.ID, m.Chat, m.At = c.lastID, c.room, time.Now()
	m.Date = m.At.Unix()
	c.messages = append(c.messages, &m)
	return &m
}

func (c *chat) message(id int64) *Message {
	for _, m := range c.messages {
		if m.ID == id && !m.Deleted {
			return m
		}
	}
	return nil
}

// mustHave is message, for a test: one that names a message that is not there is
// wrong.
func (c *chat) mustHave(id int64) *Message {
	m := c.message(id)
	if m == nil {
		panic(fmt.Sprintf("chat %d has no message %d", c.room.ID, id))
	}
	return m
}

// shown is a message as an update or an answer holds it: what it replies to
// without what that replied to.
func (m *Message) shown() Message {
	out := *m
	if m.ReplyTo != nil {
		r := *m.ReplyTo
		r.ReplyTo = nil
		out.ReplyTo = &r
	}
	return out
}

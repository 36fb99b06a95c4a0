package apitest

import (
	"bytes"
	"cmp"
	"fmt"
	"image"
	_ "image/png" // the form in which pictures are sent
	"math"
	"net/http"
	"reflect"
	"regexp"
	"slices"
	"time"
	"unicode/utf16"
	"unicode/utf8"
)

// methods are what a bot can ask for, by name in lower case. They are called
// with mu held.
var methods = map[string]func(*Server, form) (any, *apiError){
	"getme":               (*Server).getMe,
	"deletewebhook":       func(*Server, form) (any, *apiError) { return true, nil },
	"setmycommands":       (*Server).setMyCommands,
	"sendmessage":         post("sendMessage", (*Server).text),
	"senddocument":        post("sendDocument", (*Server).document),
	"sendphoto":           post("sendPhoto", (*Server).photo),
	"sendvoice":           post("sendVoice", (*Server).voice),
	"editmessagetext":     (*Server).editMessageText,
	"pinchatmessage":      func(s *Server, f form) (any, *apiError) { return s.pin(f, true) },
	"unpinchatmessage":    func(s *Server, f form) (any, *apiError) { return s.pin(f, false) },
	"setmessagereaction":  (*Server).setMessageReaction,
	"answercallbackquery": (*Server).answerCallbackQuery,
	"getfile":             (*Server).getFile,
	"leavechat":           (*Server).leaveChat,
}

// Limits of the service.
const (
	maxText     = 4096     // code points
	maxCaption  = 1024     // code points
	maxData     = 64       // bytes of a button's data
	maxUpload   = 50 << 20 // bytes
	maxPhoto    = 10 << 20 // bytes
	maxDownload = 20 << 20 // bytes
	tapStale    = 30 * time.Second
	// burst is how many messages may follow each other in a chat at once; they
	// are paid back at one a second. The real number is not published.
	burst = 6
)

// signs are the reactions that a bot may set.
var signs = []string{
	"👍", "👎", "❤", "🔥", "🥰", "👏", "😁", "🤔", "🤯", "😱", "🎉", "🙏", "👌", "💯", "🤣", "⚡", "🏆", "💔", "🤨", "😐",
	"👀", "✍", "🤗", "🫡", "🆒", "🤷", "👨‍💻", "🙈", "😎", "🤝",
}

func (s *Server) getMe(form) (any, *apiError) {
	return map[string]any{
		"id": 42, "is_bot": true, "first_name": s.bot().FirstName, "username": s.Name,
		"can_join_groups": true, "can_read_all_group_messages": false, "supports_inline_queries": false,
	}, nil
}

var commandName = regexp.MustCompile(`^[a-z0-9_]{1,32}$`)

func (s *Server) setMyCommands(f form) (any, *apiError) {
	var all []Command
	if err := f.object("commands", &all); err != nil {
		return nil, err
	}
	for _, c := range all {
		if n := utf8.RuneCountInString(c.Description); !commandName.MatchString(c.Name) || n < 1 || n > 256 {
			return nil, bad("BOT_COMMAND_INVALID")
		}
	}
	s.commands = all
	return true, nil
}

// target is the chat that a call names, if the bot may write there.
func (s *Server) target(f form) (*chat, *apiError) {
	c := s.chats[f.number("chat_id")]
	switch {
	case c == nil:
		return nil, bad("chat not found")
	case c.left:
		return nil, forbidden("bot is not a member of the group chat")
	case c.blocked:
		return nil, forbidden("bot was blocked by the user")
	case !c.started && c.room.Type == "private": // wording from memory
		return nil, forbidden("bot can't initiate conversation with a user")
	}
	return c, nil
}

// found is the message that a call names; missing is what is said if there is
// none.
func (s *Server) found(f form, missing string) (*Message, *apiError) {
	c, err := s.target(f)
	if err != nil {
		return nil, err
	}
	m := c.message(f.number("message_id"))
	if m == nil {
		return nil, bad(missing)
	}
	return m, nil
}

// pay takes one message from a chat's allowance.
func (s *Server) pay(c *chat) *apiError {
	if s.Unpaced {
		return nil
	}
	now := time.Now()
	c.bucket = min(burst, c.bucket+now.Sub(c.filled).Seconds())
	c.filled = now
	if c.bucket < 1 {
		after := int(math.Ceil(1 - c.bucket))
		return &apiError{
			code: http.StatusTooManyRequests, description: fmt.Sprintf("Too Many Requests: retry after %d", after),
			parameters: parameters{RetryAfter: after},
		}
	}
	c.bucket--
	return nil
}

// post makes the method that sends a message whose content fill gives: the chat,
// caption, reply, buttons and sound are the same for all of them.
func post(method string, fill func(*Server, form, *Message) *apiError) func(*Server, form) (any, *apiError) {
	return func(s *Server, f form) (any, *apiError) {
		m := Message{From: s.bot(), Silent: f.truth("disable_notification"), Caption: f.values["caption"]}
		c, err := s.target(f)
		if err != nil {
			return nil, err
		}
		if _, marked := f.values["parse_mode"]; marked {
			return nil, bad("unsupported parse_mode")
		}
		if utf8.RuneCountInString(m.Caption) > maxCaption {
			return nil, bad("message caption is too long")
		}
		if err := m.style(f, "caption_entities", m.Caption); err != nil {
			return nil, err
		}
		var reply struct {
			ID      int64 `json:"message_id"`
			Without bool  `json:"allow_sending_without_reply"`
		}
		if err := f.object("reply_parameters", &reply); err != nil {
			return nil, err
		}
		if m.ReplyTo = c.message(reply.ID); reply.ID != 0 && m.ReplyTo == nil && !reply.Without {
			return nil, bad("message to be replied not found")
		}
		err = cmp.Or(m.mark(f), fill(s, f, &m))
		if err == nil {
			err = s.pay(c)
		}
		if err != nil {
			return nil, err
		}
		return s.did(method, s.add(c, m)), nil
	}
}

// mark gives the message its buttons or its keyboard.
func (m *Message) mark(f form) *apiError {
	var markup struct {
		Keyboard
		Keys   [][]any `json:"keyboard"`
		Remove bool    `json:"remove_keyboard"`
	}
	if err := f.object("reply_markup", &markup); err != nil {
		return err
	}
	if markup.Keys != nil || markup.Remove {
		m.Keys = f.values["reply_markup"]
		return nil
	}
	m.Inline = nil
	if len(markup.Rows) == 0 {
		return nil
	}
	for _, b := range slices.Concat(markup.Rows...) {
		switch {
		case b.Text == "":
			return bad("inline keyboard button text is empty") // wording from memory
		case b.Data == "":
			return bad("BUTTON_COPY_TEXT_INVALID")
		case len(b.Data) > maxData:
			return bad("BUTTON_DATA_INVALID")
		}
	}
	m.Inline = &markup.Keyboard
	return nil
}

func checkText(text string) *apiError {
	switch n := utf8.RuneCountInString(text); {
	case n == 0:
		return bad("message text is empty")
	case n > maxText:
		return bad("message is too long")
	}
	return nil
}

// did notes what the bot did and returns the message as the answer shows it.
func (s *Server) did(method string, m *Message) Message {
	s.deeds = append(s.deeds, Deed{time.Now(), method, m.shown()})
	return m.shown()
}

func (s *Server) text(f form, m *Message) *apiError {
	var preview struct {
		Off bool `json:"is_disabled"`
	}
	if err := f.object("link_preview_options", &preview); err != nil {
		return err
	}
	m.Text, m.Previews = f.values["text"], !preview.Off
	return cmp.Or(checkText(m.Text), m.style(f, "entities", m.Text))
}

// style gives the message the entities of its text, which lie within it in order.
func (m *Message) style(f form, name, text string) *apiError {
	var entities []Entity
	if err := f.object(name, &entities); err != nil {
		return err
	}
	end, units := 0, len(utf16.Encode([]rune(text)))
	for _, e := range entities {
		switch {
		case e.Offset < end || e.Length < 1 || e.Offset+e.Length > units:
			return bad("ENTITY_BOUNDS_INVALID") // wording from memory
		case e.Type != "bold" && e.Type != "pre": // those that the bot uses
			return bad("unknown entity type " + e.Type)
		}
		end = e.Offset + e.Length
	}
	m.Entities = entities
	return nil
}

func (s *Server) document(f form, m *Message) *apiError {
	up, ok := f.files["document"]
	switch {
	case !ok:
		return bad("there is no document in the request")
	case len(up.body) == 0:
		return bad("file must be non-empty") // wording from memory
	case len(up.body) > maxUpload:
		return tooLarge()
	}
	m.Document, m.Body = s.store(up.name, up.body), up.body
	return nil
}

func (s *Server) photo(f form, m *Message) *apiError {
	up, ok := f.files["photo"]
	shape, _, broken := image.DecodeConfig(bytes.NewReader(up.body))
	switch {
	case !ok:
		return bad("there is no photo in the request")
	case len(up.body) > maxPhoto:
		return tooLarge()
	case broken != nil:
		return bad("IMAGE_PROCESS_FAILED") // wording from memory, as the next
	case shape.Width+shape.Height > 10000 || max(shape.Width, shape.Height) > 20*min(shape.Width, shape.Height):
		return bad("PHOTO_INVALID_DIMENSIONS")
	}
	m.Photo, m.Body = []Media{*s.store(up.name, up.body)}, up.body
	return nil
}

// voice sends a voice message that is known already, by its reference.
func (s *Server) voice(f form, m *Message) *apiError {
	if f.values["voice"] != voiceID {
		return bad("wrong file identifier/HTTP URL specified") // wording from memory
	}
	m.Voice = &Media{FileID: voiceID}
	return nil
}

// store keeps a file. The caller holds mu.
func (s *Server) store(name string, body []byte) *Media {
	id := fmt.Sprintf("file-%d", len(s.files)+1)
	s.files[id] = slices.Clone(body)
	return &Media{FileID: id, UniqueID: id, Name: name, MIME: "application/octet-stream", Size: len(body)}
}

func (s *Server) editMessageText(f form) (any, *apiError) {
	m, err := s.found(f, "message to edit not found")
	if err != nil {
		return nil, err
	}
	if m.Mine() || m.Keys != "" {
		return nil, bad("message can't be edited")
	}
	fresh := *m
	fresh.Text = f.values["text"]
	err = cmp.Or(checkText(fresh.Text), fresh.style(f, "entities", fresh.Text), fresh.mark(f))
	if err != nil {
		return nil, err
	}
	if fresh.Text == m.Text && slices.Equal(fresh.Entities, m.Entities) && reflect.DeepEqual(fresh.Inline, m.Inline) {
		return nil, bad("message is not modified: specified new message content and reply markup are exactly the same " +
			"as a current content and reply markup of the message")
	}
	fresh.EditDate = time.Now().Unix()
	fresh.Edits++
	*m = fresh
	return s.did("editMessageText", m), nil
}

func (s *Server) pin(f form, pin bool) (any, *apiError) {
	m, err := s.found(f, "message to pin not found") // wording from memory
	if err != nil {
		return nil, err
	}
	m.Pinned, m.PinRang = pin, pin && !f.truth("disable_notification")
	return true, nil
}

func (s *Server) setMessageReaction(f form) (any, *apiError) {
	m, err := s.found(f, "message to react not found") // wording from memory
	if err != nil {
		return nil, err
	}
	var all []struct{ Type, Emoji string }
	if err := f.object("reaction", &all); err != nil {
		return nil, err
	}
	switch {
	case len(all) > 1:
		return nil, bad("REACTIONS_TOO_MANY")
	case len(all) == 1 && !slices.Contains(signs, all[0].Emoji):
		return nil, bad("REACTION_INVALID")
	}
	m.Reaction = ""
	if len(all) == 1 {
		m.Reaction = all[0].Emoji
	}
	s.did("setMessageReaction", m)
	if s.Echo && m.Mine() {
		shown := m.shown()
		shown.EditDate = time.Now().Unix()
		s.push("edited_message", shown)
	}
	return true, nil
}

func (s *Server) answerCallbackQuery(f form) (any, *apiError) {
	id := f.values["callback_query_id"]
	at, waits := s.taps[id]
	if !waits || time.Since(at) > tapStale {
		return nil, bad("query is too old and response timeout expired or query ID is invalid")
	}
	delete(s.taps, id)
	return true, nil
}

// Spinning is how many taps were never answered: their buttons still wait.
func (s *Server) Spinning() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.taps)
}

func (s *Server) getFile(f form) (any, *apiError) {
	id := f.values["file_id"]
	body, ok := s.files[id]
	switch {
	case !ok:
		return nil, bad("invalid file_id")
	case len(body) > maxDownload:
		return nil, bad("file is too big")
	}
	return map[string]any{
		"file_id": id, "file_unique_id": id, "file_size": len(body), "file_path": downloads + id,
	}, nil
}

func (s *Server) leaveChat(f form) (any, *apiError) {
	c, err := s.target(f)
	if err != nil {
		return nil, err
	}
	c.left = true
	return true, nil
}

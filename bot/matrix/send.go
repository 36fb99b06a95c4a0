package matrix

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"skyslate/bot"
	"skyslate/bot/beat"
	"skyslate/bot/run"
	"skyslate/storage"
)

const (
	// keyField holds what tells a post of ours from every other.
	keyField = "skyslate.key"
	// lookBack is how many of a room's last events are searched for a key.
	lookBack = 30
	// settled is when a server that lost a client in the middle of a call shows what
	// came of it (measured).
	settled = time.Second
	// heardWithin is when all that was sent has come back.
	heardWithin = 20 * time.Second
	// mostSeeded are the posts whose signs are remembered, mostKeys the events whose keys are.
	mostSeeded = 1000
	mostKeys   = 10_000
)

// errHeld is why a post waits without a fault.
var errHeld = errors.New("the account had as much as the server allows for now")

// wayOut is what the process knows of its sends. Safe for concurrent use.
type wayOut struct {
	started time.Time

	mu      sync.Mutex
	held    time.Time            // nothing goes out before
	doubt   map[string]bool      // posts of which it is not known whether they went out, by name
	awaited map[string]time.Time // events that have not come back
	keys    map[string]string    // the first event with each key

	signs chan signs // to be set
}

func newWayOut() *wayOut {
	return &wayOut{
		started: time.Now(), doubt: map[string]bool{}, awaited: map[string]time.Time{}, keys: map[string]string{},
		signs: make(chan signs, 256),
	}
}

// wait is how long nothing may go out.
func (w *wayOut) wait() time.Duration {
	w.mu.Lock()
	defer w.mu.Unlock()
	return max(0, time.Until(w.held))
}

// ended notes the end of a try to send an event of a post.
func (w *wayOut) ended(name, eventID string, refused *refusal) {
	w.mu.Lock()
	defer w.mu.Unlock()
	delete(w.doubt, name)
	switch {
	case refused == nil:
		w.awaited[eventID] = time.Now()
	case refused.unknown:
		w.doubt[name] = true
	}
}

// complain holds everything up for as long as the server asks.
func (w *wayOut) complain(refused *refusal) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if until := time.Now().Add(refused.after); refused.after > 0 && until.After(w.held) {
		w.held = until
	}
}

// doubts reports whether a post may have gone out before.
func (w *wayOut) doubts(o bot.Outgoing) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.doubt[o.Name] || o.Made.Before(w.started)
}

// echo notes an event of ours, and returns another one that has the same key; empty: there
// is none.
func (w *wayOut) echo(key, eventID string) (other string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	first, known := w.keys[key]
	switch {
	case known && first != eventID:
		return first
	case !known && len(w.keys) >= mostKeys:
		clear(w.keys)
	}
	w.keys[key] = eventID
	return ""
}

// hear notes events that came back; all: nothing is waited for any more.
func (w *wayOut) hear(events []string, all bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, e := range events {
		delete(w.awaited, e)
	}
	if all {
		clear(w.awaited)
	}
}

// unheard reports whether something was sent long before a moment and has not come back.
func (w *wayOut) unheard(asked time.Time) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, at := range w.awaited {
		if asked.Sub(at) > heardWithin {
			return true
		}
	}
	return false
}

// forget drops what is known of an operator's posts.
func (w *wayOut) forget(op storage.OperatorID) {
	w.mu.Lock()
	defer w.mu.Unlock()
	maps.DeleteFunc(w.doubt, func(name string, _ bool) bool { return strings.HasPrefix(name, string(op)+"/") })
}

// Send brings one post out, to an operator who is let in, or told farewell, and has not
// left the room: see [skyslate/bot/run.Transport].
func (t *Transport) Send(ctx context.Context, o bot.Outgoing, away func()) (string, error) {
	away() // a server says when it is too much, and for how long
	switch {
	case !Serves(o.Operator):
		return "", &run.SendError{Fate: run.Never, Err: fmt.Errorf("operator %q is nobody on Matrix", o.Operator)}
	case t.guests.Gone(o.Operator):
		return "", &run.SendError{Fate: run.Unwanted, Err: errors.New("the operator has left the room")}
	case !t.guests.Admits(o.Operator) && !o.Last:
		return "", &run.SendError{Fate: run.Unwanted, Err: errors.New("the operator is not let in any more")}
	}
	if wait := t.way.wait(); wait > 0 {
		return "", &run.SendError{Fate: run.Later, After: wait, Err: errHeld}
	}
	r, known := t.roomOf(o.Operator)
	if !known || r.ID == "" {
		if o.Last {
			return "", &run.SendError{Fate: run.Unwanted, Err: errors.New("there is no room to say farewell in")}
		}
		t.wishes.add(o.Operator)
		t.opening.Ring()
		return "", &run.SendError{Fate: run.Again, After: openAgain, Err: errors.New("the operator's room is not open yet")}
	}
	name, refused := t.send(ctx, r.ID, o)
	switch {
	case refused == nil && o.Last:
		t.part(ctx, o.Operator, r.ID)
	case refused != nil && (refused.code == mautrix.MForbidden.ErrCode || refused.code == mautrix.MNotFound.ErrCode):
		if t.useless(o.Operator, r) {
			refused.fate, refused.after = run.Again, openAgain
		}
	}
	return name, refused.sendError(ctx)
}

// part leaves the room of somebody who is forgotten.
func (t *Transport) part(ctx context.Context, op storage.OperatorID, roomID string) {
	if err := t.alter(func(d *draft) { d.changed[op] = nil }); err != nil {
		t.log.Warn("that a room is left could not be stored", "err", err)
	}
	t.leave(ctx, roomID)
}

func (t *Transport) send(ctx context.Context, roomID string, o bot.Outgoing) (name string, refused *refusal) {
	switch {
	case o.Op == storage.Edit && named(o.Edits):
		return t.edit(ctx, roomID, o)
	case o.Op == storage.React && named(o.ReplyTo):
		return "", t.react(ctx, roomID, o)
	case o.Op == storage.React:
		return "", nil // the message is forgotten, or of another app
	case o.Op == storage.File && o.Offer != nil:
		o.Buttons = append(slices.Clip(o.Buttons), []storage.Button{*o.Offer})
	case o.Op == storage.File:
		return t.file(ctx, roomID, o)
	case o.Voice != "":
		if name, refused := t.voice(ctx, roomID, o); refused == nil || refused.fate != run.Never {
			return name, refused
		}
	}
	return t.say(ctx, roomID, o)
}

// named reports whether a name is one of the protocol's: a message of which the name is
// forgotten has a number instead.
func named(name string) bool { return strings.HasPrefix(name, "$") }

// say sends a text, in several messages if it is long. The first one answers, the last
// one carries the buttons and is the one that the post is known by.
func (t *Transport) say(ctx context.Context, roomID string, o bot.Outgoing) (name string, refused *refusal) {
	parts := textOf(o).Split(maxText)
	for i, part := range parts {
		content := message(part, o.Silent || i > 0)
		if i == 0 {
			replyTo(content, o.ReplyTo)
		}
		if name, refused = t.put(ctx, roomID, typeMessage, content, o, i); refused != nil {
			return "", refused
		}
	}
	t.seed(roomID, name, len(flat(o.Buttons)))
	if o.Pin == storage.PinOn {
		t.pin(ctx, roomID, name)
	}
	return name, nil
}

// edit changes a message that is out; an edit makes no sound.
func (t *Transport) edit(ctx context.Context, roomID string, o bot.Outgoing) (name string, refused *refusal) {
	text := textOf(o).Shorten(maxText)
	content := message(text, true)
	content["m.new_content"] = message(text, true)
	content["body"] = "* " + text.Text
	content["m.relates_to"] = map[string]any{"rel_type": "m.replace", "event_id": o.Edits}
	if _, refused = t.put(ctx, roomID, typeMessage, content, o, 0); refused != nil {
		return "", refused
	}
	t.seed(roomID, o.Edits, len(flat(o.Buttons)))
	if o.Pin == storage.PinOff {
		t.pin(ctx, roomID)
	}
	return o.Edits, nil
}

// errDuplicate is the protocol's word for a sign that stands there already.
const errDuplicate = "M_DUPLICATE_ANNOTATION"

// react sets a sign on a message.
func (t *Transport) react(ctx context.Context, roomID string, o bot.Outgoing) *refusal {
	_, refused := t.put(ctx, roomID, typeReaction, reaction(o.ReplyTo, o.Text), o, 0)
	if refused != nil && refused.code == errDuplicate {
		return nil
	}
	return refused
}

// signs are the signs that a post is to have.
type signs struct {
	room, event string
	count       int
}

// seed has the signs set under a post that are tapped for its buttons. They follow the
// post, which has to be known here before anybody taps one.
func (t *Transport) seed(roomID, eventID string, buttons int) {
	select {
	case t.way.signs <- signs{roomID, eventID, min(buttons, mostSigns)}:
	default:
		t.log.Debug("too many posts wait for their signs: one does without")
	}
}

// seedLoop sets signs until ctx ends. They are a convenience: where it fails a number
// can be typed all the same.
func (t *Transport) seedLoop(ctx context.Context) {
	standing := map[string][]string{} // the signs under posts, by the events of both
	for {
		select {
		case s := <-t.way.signs:
			if wait := t.way.wait(); wait > 0 {
				beat.Pause(ctx, wait)
			}
			if len(standing) >= mostSeeded {
				clear(standing)
			}
			standing[s.event] = t.setSigns(ctx, s, standing[s.event])
		case <-ctx.Done():
			return
		}
	}
}

// setSigns gives a post as many signs as it is to have, and returns them.
func (t *Transport) setSigns(ctx context.Context, s signs, standing []string) []string {
	ctx, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	var err error
	for last := len(standing) - 1; err == nil && last >= s.count; last-- {
		_, err = t.client.RedactEvent(ctx, id.RoomID(s.room), id.EventID(standing[last]))
		standing = standing[:last]
	}
	for i := len(standing); err == nil && i < s.count; i++ {
		var made *mautrix.RespSendEvent
		made, err = t.client.SendMessageEvent(ctx, id.RoomID(s.room), event.EventReaction, reaction(s.event, sign(i)))
		if err == nil && made != nil {
			standing = append(standing, string(made.EventID))
		}
	}
	if refused := t.refusalOf(err); refused != nil && refused.code != errDuplicate {
		t.way.complain(refused)
		t.log.Debug("the signs under a post could not be set", "err", refused.err)
	}
	return standing
}

// pin holds a message up, or none.
func (t *Transport) pin(ctx context.Context, roomID string, events ...string) {
	ctx, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	pinned := map[string]any{"pinned": append([]string{}, events...)}
	_, err := t.client.SendStateEvent(ctx, id.RoomID(roomID), event.StatePinnedEvents, "", pinned)
	if refused := t.refusalOf(err); refused != nil {
		t.log.Warn("a message could not be pinned, or let go", "err", refused.err)
	}
}

// put sends an event of a post, and returns its name. One that may have gone out before
// is searched for first.
func (t *Transport) put(
	ctx context.Context, roomID, kind string, content map[string]any, o bot.Outgoing, part int,
) (string, *refusal) {
	ctx, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	key := keyOf(o, part)
	if t.way.doubts(o) {
		found, err := t.find(ctx, roomID, key)
		if err != nil || found != "" {
			return found, t.refusalOf(err)
		}
	}
	content[keyField] = key
	made, err := t.client.SendMessageEvent(ctx, id.RoomID(roomID), event.NewEventType(kind), content,
		mautrix.ReqSendEvent{TransactionID: key})
	if err == nil && (made == nil || made.EventID == "") {
		err = errOtherServer
	}
	refused := t.refusalOf(err)
	if refused != nil {
		t.way.ended(o.Name, "", refused)
		t.way.complain(refused)
		return "", refused
	}
	t.way.ended(o.Name, string(made.EventID), nil)
	if o.Op == storage.Edit { // two equal ones do no harm, and one may be wanted again
		return string(made.EventID), nil
	}
	if other := t.way.echo(key, string(made.EventID)); other != "" {
		t.redact(ctx, roomID, string(made.EventID))
		return other, nil
	}
	return string(made.EventID), nil
}

// redact takes a message back that is there twice: a server that was killed in the middle
// of a call may show only later that it had carried it out (half a minute, measured).
func (t *Transport) redact(ctx context.Context, roomID, eventID string) {
	ctx, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	_, err := t.client.RedactEvent(ctx, id.RoomID(roomID), id.EventID(eventID))
	if refused := t.refusalOf(err); refused != nil {
		t.log.Warn("a message that is there twice could not be taken back", "err", refused.err)
	}
}

// keyOf tells an event of a post from every other: neither a post's name nor its text
// is unique for ever.
func keyOf(o bot.Outgoing, part int) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%q %d %q %q %q %q %d",
		o.Name, o.Made.UnixNano(), o.Op, o.Edits, o.Text, o.FileName, part))
	return hex.EncodeToString(sum[:12])
}

// find is the event with a key among the last of a room; empty if there is none.
func (t *Transport) find(ctx context.Context, roomID, key string) (eventID string, err error) {
	if soon := time.Until(t.way.started.Add(settled)); soon > 0 {
		beat.Pause(ctx, soon)
	}
	var page struct {
		Chunk []json.RawMessage `json:"chunk"`
	}
	query := map[string]string{"dir": "b", "limit": fmt.Sprint(lookBack)}
	if err := t.get(ctx, query, &page, "v3", "rooms", roomID, "messages"); err != nil {
		return "", err
	}
	user := t.me()
	for _, raw := range page.Chunk {
		if h, _ := readHappening(raw); h.sender == user && h.content.text(keyField) == key {
			return h.id, nil
		}
	}
	return "", nil
}

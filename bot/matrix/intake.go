package matrix

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"skyslate/bot/beat"
	"skyslate/bot/event"
	"skyslate/bot/fetch"
	"skyslate/bot/guests"
	"skyslate/bot/run"
	"skyslate/storage"
)

const (
	// backTo is how far back events are asked for anew when the place to go on from is
	// lost: less far than the store remembers what it has seen.
	backTo = 7 * 24 * time.Hour
	// mostPages bounds what is fetched of one room at a time.
	mostPages = 200
	pageSize  = 100
)

// filter asks for what is used.
const filter = `{"presence":{"types":[]},"account_data":{"types":[]},"room":{"account_data":{"types":[]},` +
	`"ephemeral":{"types":[]},"timeline":{"limit":50}}}`

// synced is an answer of the server, with all that it tells of rooms left as it is.
type synced struct {
	Next  string `json:"next_batch"`
	Rooms struct {
		Join   map[string]json.RawMessage `json:"join"`
		Invite map[string]json.RawMessage `json:"invite"`
	} `json:"rooms"`
}

// news is what happened in a room.
type news struct {
	State    struct{ Events []json.RawMessage } `json:"state"`
	Timeline struct {
		Events  []json.RawMessage `json:"events"`
		Limited bool              `json:"limited"` // there were more before these
		Before  string            `json:"prev_batch"`
	} `json:"timeline"`
	Invited struct{ Events []json.RawMessage } `json:"invite_state"`
}

// syncLoop asks for news until ctx ends.
func (t *Transport) syncLoop(ctx context.Context, caughtUp func()) {
	// The first answer, and that after a failure, doesn't wait for news.
	caught, atOnce := false, true
	for wait := time.Second; ctx.Err() == nil; {
		err := t.syncOnce(ctx, atOnce)
		if err == nil && atOnce {
			err = t.lookBack(ctx)
		}
		if err == nil {
			if !caught {
				caughtUp()
			}
			caught, atOnce, wait = true, false, time.Second
			continue
		}
		atOnce = true
		r := t.refusalOf(err)
		switch {
		case ctx.Err() != nil:
			return
		case r.fate == run.Stop:
			t.fatal(r.err)
			return
		case r.fate == run.Never && t.since() != "" && t.startAnew("the server doesn't know the place to go on from"):
			continue
		}
		wait = max(wait, r.after)
		t.log.Warn("nothing could be taken from the Matrix server, it keeps the messages; it is tried again",
			"wait", wait, "err", r.err)
		beat.Pause(ctx, wait)
		wait = min(2*wait, time.Minute)
	}
}

func (t *Transport) since() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.kept.Since
}

// startAnew forgets the place to go on from.
func (t *Transport) startAnew(why string) bool {
	t.log.Warn("all is asked for anew from the Matrix server", "why", why)
	return t.alter(func(d *draft) { d.Since = "" }) == nil
}

// syncOnce asks for news once and puts them on disk with the place to go on from.
// What is sent comes back with the news: where it doesn't, the place is ahead of the
// server.
func (t *Transport) syncOnce(ctx context.Context, atOnce bool) (err error) {
	defer func() { // it is tried again, the process lives
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	asked, since := t.now(), t.since()
	query := map[string]string{"filter": filter, "timeout": "0"}
	if since != "" {
		query["since"] = since
	}
	if since != "" && !atOnce {
		query["timeout"] = strconv.FormatInt(pollFor.Milliseconds(), 10)
	}
	asking, cancel := context.WithTimeout(ctx, pollFor+callFor)
	defer cancel()
	var answer synced
	if err := t.get(asking, query, &answer, "v3", "sync"); err != nil {
		return err
	}
	if answer.Next == "" {
		return errOtherServer
	}
	rooms, err := t.news(ctx, answer, since)
	if err != nil {
		return err
	}
	if answer.Next != since || len(rooms) > 0 {
		if err := t.take(ctx, rooms, answer.Next, since == ""); err != nil {
			return err
		}
	}
	if since != "" && t.way.unheard(asked) {
		t.startAnew("what was sent does not come back")
	}
	return nil
}

// lookBack compares what the server has last with what is known. A server that was
// restored from a backup takes a place to go on from that is ahead of it for its own last
// one, and passes over what came before it was asked.
func (t *Transport) lookBack(ctx context.Context) error {
	bounded, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	var answer synced
	if err := t.get(bounded, map[string]string{"filter": filter, "timeout": "0"}, &answer, "v3", "sync"); err != nil {
		return err
	}
	rooms, err := t.news(ctx, answer, "")
	if err != nil {
		return err
	}
	return t.take(ctx, rooms, t.since(), true)
}

// happened is what happened in an operator's room.
type happened struct {
	room   string
	events []json.RawMessage
}

// news is what happened in the operators' rooms; other rooms are dealt with at once.
func (t *Transport) news(ctx context.Context, answer synced, since string) (all []happened, err error) {
	for _, roomID := range slices.Sorted(maps.Keys(answer.Rooms.Invite)) {
		var n news
		_ = json.Unmarshal(answer.Rooms.Invite[roomID], &n) // who asks is not known then
		t.decline(ctx, roomID, n.Invited.Events)
	}
	for _, roomID := range slices.Sorted(maps.Keys(answer.Rooms.Join)) {
		var n news
		if err := json.Unmarshal(answer.Rooms.Join[roomID], &n); err != nil {
			t.log.Error("the news of a room are in no form that is known", "room", roomID)
			continue
		}
		if !t.ours(roomID) {
			t.adopt(ctx, roomID, slices.Concat(n.State.Events, n.Timeline.Events))
			if !t.ours(roomID) {
				continue
			}
		}
		events := n.Timeline.Events
		if n.Timeline.Limited && (since != "" || !t.knows(roomID, events)) {
			older, err := t.fill(ctx, roomID, n.Timeline.Before, since)
			if r := t.refusalOf(err); r != nil && (r.fate != run.Never || since != "") {
				return nil, err
			} else if r != nil {
				t.log.Error("the server gives no older messages of a room", "room", roomID, "err", r.err)
			}
			events = slices.Concat(older, events)
		}
		all = append(all, happened{roomID, slices.Concat(n.State.Events, events)})
	}
	return all, nil
}

func (t *Transport) ours(roomID string) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	_, ours := t.kept.owners[roomID]
	return ours
}

// fill fetches the events of a room that were left out, from the place before those
// that came back to the last one, or to what is known, or as far back as is of use; the
// oldest first. A
// server's last pages may hold one event each, so only an empty one is the end.
func (t *Transport) fill(ctx context.Context, roomID, from, since string) ([]json.RawMessage, error) {
	oldest := t.now().Add(-backTo)
	var pages [][]json.RawMessage
	for range mostPages {
		query := map[string]string{"dir": "b", "from": from, "limit": strconv.Itoa(pageSize)}
		if since != "" {
			query["to"] = since
		}
		var page struct {
			Chunk []json.RawMessage `json:"chunk"`
			End   string            `json:"end"`
		}
		bounded, cancel := context.WithTimeout(ctx, callFor)
		err := t.get(bounded, query, &page, "v3", "rooms", roomID, "messages")
		cancel()
		if err != nil {
			return nil, err
		}
		slices.Reverse(page.Chunk)
		pages = append(pages, page.Chunk)
		if len(page.Chunk) == 0 || page.End == "" || page.End == from {
			break
		}
		if h, _ := readHappening(page.Chunk[0]); !h.at.IsZero() && h.at.Before(oldest) {
			break
		}
		if since == "" && t.knows(roomID, page.Chunk) {
			break
		}
		from = page.End
	}
	slices.Reverse(pages)
	return slices.Concat(pages...), nil
}

// knows reports whether the first message of those events is known: so is what was
// before it.
func (t *Transport) knows(roomID string, events []json.RawMessage) bool {
	t.mu.Lock()
	op := t.kept.owners[roomID]
	t.mu.Unlock()
	for _, raw := range events {
		if h, whole := readHappening(raw); whole && h.kind == typeMessage && h.edits() == "" {
			known, err := t.desk.Knows(op, h.id)
			return known && err == nil
		}
	}
	return false
}

// take puts what happened on disk, in order, with the place to go on from. Anew: what
// happened long ago may be among it, and counts no more.
func (t *Transport) take(ctx context.Context, rooms []happened, next string, anew bool) error {
	var heard []string
	err := t.keep(func(d *draft) (raws []storage.Raw) {
		d.Since = next
		for _, r := range rooms {
			op, _ := d.owner(r.room)
			for _, raw := range r.events {
				h, whole := readHappening(raw)
				heard = append(heard, h.id)
				if anew && !h.at.IsZero() && h.at.Before(d.Now.Add(-backTo)) && !h.state {
					continue
				}
				if kept, ok := d.sift(t, op, h, whole, raw); ok {
					raws = append(raws, kept)
				}
			}
		}
		return raws
	})
	if err != nil {
		return fmt.Errorf("nothing was stored: %w", err)
	}
	t.way.hear(heard, anew)
	t.fetcher.Wake()
	for _, r := range rooms {
		t.takeBackDoubles(ctx, r)
	}
	return nil
}

// takeBackDoubles takes messages of ours back that are there twice: of two the one that
// no post is known by. Two equal edits do no harm.
func (t *Transport) takeBackDoubles(ctx context.Context, r happened) {
	user := t.me()
	for _, raw := range r.events {
		h, _ := readHappening(raw)
		key := h.content.text(keyField)
		if h.sender != user || h.kind != typeMessage || key == "" || h.edits() != "" {
			continue
		}
		double := h.id
		other := t.way.echo(key, h.id)
		if other == "" {
			continue
		}
		t.mu.Lock()
		op := t.kept.owners[r.room]
		t.mu.Unlock()
		if known, err := t.desk.Knows(op, h.id); known && err == nil {
			double = other
		}
		t.redact(ctx, r.room, double)
	}
}

// sift decides what becomes of an event in an operator's room: into the inbox, or
// dealt with here. What can't be read goes to the inbox too, where it is set aside and
// told: only the operator writes there beside us.
func (d *draft) sift(
	t *Transport, op storage.OperatorID, h happening, whole bool, raw json.RawMessage,
) (storage.Raw, bool) {
	r := received{Event: raw}
	switch {
	case !whole && h.sender != d.User:
		if !d.Admits(op) {
			return storage.Raw{}, false
		}
	case h.state && h.kind == typeMember && h.stateKey == string(op):
		if !d.follow(op, h.content.text("membership")) {
			return storage.Raw{}, false
		}
		r.Start = true
	case h.sender != string(op) || h.state:
		return storage.Raw{}, false
	case h.kind != typeMessage && h.kind != typeReaction && h.kind != typeSticker, len(h.content) == 0:
		return storage.Raw{}, false // of no use here, or taken back
	default:
		written := ""
		if h.kind == typeMessage && h.edits() == "" {
			written = words(h.content)
		}
		switch d.Hear(op, written, nil) {
		case guests.Ends:
			return storage.Raw{}, false
		case guests.Starts:
			r = received{Event: withoutCode(h), Start: true}
		default:
			if d.putOff(t, op, h, &r) {
				return storage.Raw{}, false
			}
		}
	}
	kept, err := r.encode(op, h, d.Now)
	return kept, err == nil
}

// withoutCode is a message of which what was written goes no further.
func withoutCode(h happening) json.RawMessage {
	raw, _ := json.Marshal(map[string]any{ // it holds nothing that can't be written
		"event_id": h.id, "type": h.kind, "sender": h.sender, "origin_server_ts": h.at.UnixMilli(),
		"content": map[string]string{"msgtype": "m.text"},
	})
	return raw
}

// follow follows an operator into their room and out of it, and reports whether they
// came in: that is a start. They are told first what this room is.
func (d *draft) follow(op storage.OperatorID, membership string) (came bool) {
	r, _ := d.room(op)
	in := membership == "join"
	if in == r.Joined || !in && membership != "leave" && membership != "ban" {
		return false
	}
	r.Joined = in
	d.changed[op] = &r
	if !in {
		d.Blocked(op)
		return false
	}
	d.Back(op)
	if !d.Admits(op) {
		return false
	}
	d.Tell(op, textOpen)
	return true
}

// putOff leaves a document for the fetcher, if it is of a size to be fetched, and its
// operator may hand over one more.
func (d *draft) putOff(t *Transport, op storage.OperatorID, h happening, r *received) bool {
	if h.kind != typeMessage || h.content.text("msgtype") != "m.file" || h.edits() != "" ||
		h.content.object("info").number("size") > event.MaxDocument {
		return false
	}
	may, err := t.desk.DocumentsLeft(op, d.Now)
	if err != nil || !d.fetches.HasRoom(op, may) {
		r.Lost = event.LostMany
		return false
	}
	d.fetches.Await(fetch.Wanted{
		Raw: rawID(h, r.Event), At: d.Now, File: h.content.text("url"), Update: r.Event, Operator: op,
	})
	return true
}

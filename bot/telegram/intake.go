package telegram

import (
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/fetch"
	"skyslate/bot/guests"
	"skyslate/storage"
)

// kinds are the updates that the service is asked for.
var kinds = []string{"message", "edited_message", "callback_query", "my_chat_member"}

// take puts the updates of a poll on disk, in its order, and returns the id up to
// which the service may forget. Taps are answered and files fetched afterwards.
func (t *Transport) take(result json.RawMessage) (last int64, n int, err error) {
	defer func() { // a poll is tried again, the process lives
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	var list []json.RawMessage
	if err := json.Unmarshal(result, &list); err != nil {
		return 0, 0, errors.New("the service's answer holds no list of updates")
	}
	if len(list) == 0 {
		return 0, 0, nil
	}
	var taps []string
	err = t.keep(func(m *memory, d *guests.Draft) (raws []storage.Raw) {
		for _, raw := range list {
			u, readable := readUpdate(raw)
			if u.ID != 0 {
				m.Offset, m.OffsetAt = u.ID, d.Now
			}
			if u.Tap != nil {
				taps = append(taps, u.Tap.ID)
			}
			if kept, ok := t.sift(m, d, u, raw, readable); ok {
				raws = append(raws, kept)
			}
		}
		last = m.Offset
		return raws
	})
	if err != nil {
		return 0, 0, fmt.Errorf("nothing was taken from the service, it keeps the messages: %w", err)
	}
	for _, id := range taps {
		select {
		case t.taps <- id:
		default: // too many: the app gives up waiting by itself
		}
	}
	t.fetcher.Wake()
	return last, len(list), nil
}

// readUpdate reads an update; one that can't be read whole keeps its id at least.
func readUpdate(raw json.RawMessage) (u update, readable bool) {
	if json.Unmarshal(raw, &u) == nil {
		return u, true
	}
	var id struct {
		ID int64 `json:"update_id"`
	}
	_ = json.Unmarshal(raw, &id) // 0 if there is none
	return update{ID: id.ID}, false
}

// sift decides what becomes of an update: into the inbox, or dealt with here.
// What is of no kind that is known goes to the inbox too, where it is set aside
// and told.
func (t *Transport) sift(m *memory, d *guests.Draft, u update, raw json.RawMessage, readable bool) (storage.Raw, bool) {
	r := received{Update: raw}
	from, where, ok := u.sender()
	switch {
	case u.Membership != nil:
		u.Membership.follow(d)
		return storage.Raw{}, false
	case ok && !t.mayPass(m, d, u, from, where, &r):
		return storage.Raw{}, false
	case !readable:
		if id := writer(raw); id != 0 && !d.Admits(operatorID(id)) {
			return storage.Raw{}, false // a stranger costs nothing
		}
	}
	id := rawID(u.ID)
	if u.ID == 0 {
		h := fnv.New64a()
		h.Write(raw) // a hash never fails
		id = fmt.Sprintf(Prefix+"/#%016x", h.Sum64())
	}
	kept, err := r.encode(id, d.Now)
	return kept, err == nil
}

// mayPass keeps updates of others than operators away from the inbox, and those
// that are dealt with here.
func (t *Transport) mayPass(m *memory, d *guests.Draft, u update, from person, where chat, r *received) bool {
	switch {
	case from.IsBot:
		return false
	case where.Type != "private":
		d.TurnAway(operatorID(where.ID))
		return false
	}
	written := ""
	if u.Message != nil {
		written = u.Message.words()
	}
	switch d.Hear(operatorID(from.ID), written, t.link) {
	case guests.Starts:
		r.Update = u.asStart() // the code goes no further
		return true
	case guests.Ends:
		return false
	}
	return u.Message == nil || !t.putOff(m, u, r, d.Now)
}

// link is the address that carries a code to the bot: the code itself while the
// bot's own name is not known.
func (t *Transport) link(code string) string {
	name := t.name.Load()
	if name == nil {
		return code
	}
	return "https://t.me/" + *name + "?start=" + code
}

// putOff leaves a document for the fetcher, if it is of a size to be fetched, and
// its operator may hand over one more.
func (t *Transport) putOff(m *memory, u update, r *received, now time.Time) bool {
	d := u.Message.Document
	if d == nil || d.Size > event.MaxDocument {
		return false
	}
	op := operatorID(u.Message.From.ID)
	may, err := t.desk.DocumentsLeft(op, unix(u.Message.Date))
	if err != nil || !m.fetches.HasRoom(op, may) {
		r.Lost = event.LostMany
		return false
	}
	m.fetches.Await(fetch.Wanted{Raw: rawID(u.ID), At: now, File: d.FileID, Update: r.Update, Operator: op})
	return true
}

// follow follows the bot's own place in a chat: blocked or let in again by a
// person, added to a group.
func (s membership) follow(d *guests.Draft) {
	in := s.New.Status == "member" || s.New.Status == "administrator" || s.New.Status == "restricted"
	who := operatorID(s.Chat.ID)
	switch {
	case s.Chat.Type == "private" && in:
		d.Back(who)
	case s.Chat.Type == "private":
		d.Blocked(who)
	case in:
		d.TurnAway(who)
	default:
		d.Parted(who)
	}
}

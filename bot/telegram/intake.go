package telegram

import (
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"os"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

// kinds are the updates that the service is asked for.
var kinds = []string{"message", "edited_message", "callback_query", "my_chat_member"}

// take puts what a poll brought on disk, in its order, and returns the id up to
// which the service may forget. Taps are answered and files fetched afterwards.
func (t *Transport) take(result json.RawMessage) (last int64, n int, err error) {
	var list []json.RawMessage
	if err := json.Unmarshal(result, &list); err != nil {
		return 0, 0, errors.New("the service's answer holds no list of updates")
	}
	if len(list) == 0 {
		return 0, 0, nil
	}
	now := t.now()
	var taps []string
	var entered bool
	err = t.keep(func(m *memory) []storage.Raw {
		var raws []storage.Raw
		for _, raw := range list {
			u, readable := readUpdate(raw)
			if u.ID != 0 {
				m.Offset, m.OffsetAt = u.ID, now
			}
			if u.Tap != nil {
				taps = append(taps, u.Tap.ID)
			}
			before := m.Used
			if kept, ok := t.sift(m, u, raw, readable, now); ok {
				raws = append(raws, kept)
			}
			entered = entered || m.Used != before
		}
		last = m.Offset
		return raws
	})
	if err != nil {
		return 0, 0, fmt.Errorf("nothing was taken from the service, it keeps the messages: %w", err)
	}
	if entered {
		t.codeUsed()
	}
	t.answerTaps(taps)
	wake(t.errands)
	wake(t.fetching)
	return last, len(list), nil
}

// readUpdate reads an update; what can't be read whole keeps its id at least.
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
func (t *Transport) sift(m *memory, u update, raw json.RawMessage, readable bool, now time.Time) (storage.Raw, bool) {
	if readable && u.Standing != nil {
		t.stands(m, *u.Standing, now)
		return storage.Raw{}, false
	}
	r := received{Update: raw}
	if id := writer(raw); !readable && id != 0 && !t.admitted(m, id) {
		return storage.Raw{}, false // a stranger costs nothing
	}
	if from, where, ok := u.sender(); readable && ok {
		if !t.mayPass(m, u, from, where, &r, now) {
			return storage.Raw{}, false
		}
		delete(m.Gone, from.ID)
	}
	kept, err := r.encode(rawID(u.ID), now)
	if u.ID == 0 {
		kept.ID = "tg/" + digest(raw)
	}
	return kept, err == nil
}

// digest names an update that has no id.
func digest(raw []byte) string {
	h := fnv.New64a()
	h.Write(raw) // a hash never fails
	return fmt.Sprintf("#%016x", h.Sum64())
}

// mayPass keeps away from the inbox what is not an operator's, and what the
// transport does itself.
func (t *Transport) mayPass(m *memory, u update, from person, where chat, r *received, now time.Time) bool {
	switch {
	case from.IsBot:
		return false
	case where.Type != "private":
		m.tellOnce(where.ID, textGroup, true, now)
		return false
	case u.Message != nil && t.enters(m, u, from.ID, r, now):
		return true
	case !t.admitted(m, from.ID):
		if m.tellOnce(from.ID, textStranger, false, now) {
			t.log.Info("a stranger has written", "id", from.ID)
		}
		return false
	}
	if msg := u.Message; msg != nil {
		if args, ok := isInvite(msg.words()); ok {
			t.invite(m, from.ID, args, now)
			return false
		}
		return !t.putOff(m, u, r, now)
	}
	return true
}

// enters deals with a message that holds a code which is good: the desk sees a
// start in its place, and the code goes no further.
func (t *Transport) enters(m *memory, u update, id int64, r *received, now time.Time) bool {
	switch t.tryEntry(m, id, u.Message.words(), now) {
	case owner:
		t.log.Info("the owner has come in", "operator", id)
	case member:
		t.log.Info("an operator has come in by invitation", "operator", id)
	case inAlready:
	default:
		return false
	}
	delete(m.Told, id)
	r.Update = u.asStart()
	return true
}

// putOff leaves a document for the fetcher, if it is of a size to be fetched, and
// its operator may hand over one more.
func (t *Transport) putOff(m *memory, u update, r *received, now time.Time) bool {
	d := u.Message.Document
	if d == nil || d.Size > bot.MaxDocument {
		return false
	}
	id, waiting := u.Message.From.ID, 0
	for _, f := range m.Fetches {
		if writer(f.Update) == id {
			waiting++
		}
	}
	left, err := t.desk.DocumentsLeft(operatorID(id), unix(u.Message.Date))
	if err != nil || waiting >= left || len(m.Fetches) >= mostFetches {
		r.Lost = bot.LostMany
		return false
	}
	m.Fetches = append(m.Fetches, fetch{Raw: rawID(u.ID), At: now, File: d.FileID, Update: r.Update})
	return true
}

// stands follows the bot's own place in a chat: blocked or let in again by a
// person, added to a group.
func (t *Transport) stands(m *memory, s standing, now time.Time) {
	in := s.New.Status == "member" || s.New.Status == "administrator" || s.New.Status == "restricted"
	switch {
	case s.Chat.Type == "private" && in:
		delete(m.Gone, s.Chat.ID)
	case s.Chat.Type == "private":
		if t.admitted(m, s.Chat.ID) {
			m.Gone[s.Chat.ID] = now
			t.log.Info("an operator has blocked the bot", "operator", s.Chat.ID)
		}
	case in:
		m.tellOnce(s.Chat.ID, textGroup, true, now)
	default:
		delete(m.Told, s.Chat.ID)
	}
}

// codeUsed removes the owner's code: it works once.
func (t *Transport) codeUsed() {
	if err := os.Remove(t.codeFile); err != nil && !errors.Is(err, os.ErrNotExist) {
		t.log.Warn("the owner's code is used, but its file could not be removed", "err", err)
	}
}

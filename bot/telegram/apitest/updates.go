package apitest

import (
	"encoding/json"
	"net/http"
	"slices"
	"time"
)

// update is one thing that happened, for the bot to fetch.
type update struct {
	id   int64
	at   time.Time
	kind string // the name of its one field beside the id
	body json.RawMessage

	confirmed time.Time
}

// MarshalJSON writes the update as it is delivered.
func (u update) MarshalJSON() ([]byte, error) {
	return json.Marshal(map[string]any{"update_id": u.id, u.kind: u.body})
}

// The service's numbers for polls.
const (
	keptFor    = 24 * time.Hour
	mostAtOnce = 100
	longest    = 50 * time.Second
	// Offsets that lie further off than this start again at the head.
	offsetSlack = 10
	// A poll that asks the same again within this time is held that long, or a
	// client without a timeout of its own would spin.
	sameAgain = 3 * time.Second
)

// unasked are the kinds that a bot gets only if it names them.
var unasked = []string{"chat_member", "message_reaction", "message_reaction_count"}

// polls is what is remembered of the polls of the one bot.
type polls struct {
	ended  chan struct{} // closed when a newer poll ends the present one; nil: none waits
	offset int64
	at     time.Time
}

// push puts an update into the queue. The caller holds mu.
func (s *Server) push(kind string, value any) {
	asked := slices.Contains(s.allowed, kind)
	if s.allowed == nil {
		asked = !slices.Contains(unasked, kind)
	}
	if asked {
		s.enqueue(kind, encode(value))
	}
}

func (s *Server) enqueue(kind string, body json.RawMessage) {
	s.last++
	s.queue = append(s.queue, update{id: s.last, at: time.Now(), kind: kind, body: body})
	s.touch()
}

// Push delivers an update of any kind and shape: what a client doesn't know.
func (s *Server) Push(kind, body string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.enqueue(kind, json.RawMessage(body))
}

// Redraw makes the next update have this id: after a quiet week the service
// draws ids anew, and they may be lower.
func (s *Server) Redraw(next int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.last = next - 1
}

// Redeliver forgets that the last n updates were confirmed, so that they are
// delivered again.
func (s *Server) Redeliver(n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	n = min(n, len(s.past))
	again := s.past[len(s.past)-n:]
	s.queue = append(slices.Clone(again), s.queue...)
	s.past = s.past[:len(s.past)-n]
	s.touch()
}

// Pending is how many updates are not confirmed yet.
func (s *Server) Pending() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.queue)
}

// Handover is when an update came up, and when a poll confirmed it.
type Handover struct{ Came, Confirmed time.Time }

// Handovers returns those of the updates that are confirmed, in order.
func (s *Server) Handovers() (all []Handover) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, u := range s.past {
		all = append(all, Handover{u.at, u.confirmed})
	}
	return all
}

// getUpdates is a poll: it confirms on arrival, then waits. A newer one ends it.
func (s *Server) getUpdates(f form, gone <-chan struct{}) answer {
	ended := make(chan struct{})
	s.mu.Lock()
	if err := s.allow(f); err != nil {
		s.mu.Unlock()
		return err.answer()
	}
	s.confirm(f.number("offset"))
	timeout, limit := s.hold(f)
	if s.polls.ended != nil {
		close(s.polls.ended)
		s.conflict++
	}
	s.polls.ended = ended
	s.mu.Unlock()

	defer func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		if s.polls.ended == ended {
			s.polls.ended = nil
		}
	}()
	end := time.After(timeout)
	for {
		s.mu.Lock()
		ready, changed := slices.Clone(s.queue[:min(limit, len(s.queue))]), s.changed
		s.mu.Unlock()
		if len(ready) > 0 {
			return success(ready)
		}
		select {
		case <-changed:
		case <-end:
			return success([]update{})
		case <-gone:
			return success([]update{}) // nobody reads it
		case <-ended:
			return refusal(http.StatusConflict,
				"Conflict: terminated by other getUpdates request; make sure that only one bot instance is running")
		}
	}
}

// allow keeps the wanted kinds; they stay when a later poll names none.
func (s *Server) allow(f form) *apiError {
	var kinds []string
	if err := f.object("allowed_updates", &kinds); err != nil {
		return err
	}
	if _, given := f.values["allowed_updates"]; given {
		s.allowed = nil
		if len(kinds) > 0 {
			s.allowed = kinds
		}
	}
	return nil
}

// confirm drops the updates before offset, and those that are too old.
func (s *Server) confirm(offset int64) {
	if n := len(s.queue); n > 0 && offset > 0 {
		far := offset > s.queue[n-1].id+offsetSlack || offset < s.queue[0].id-100_000
		for !far && len(s.queue) > 0 && s.queue[0].id < offset {
			s.queue[0].confirmed = time.Now()
			s.past = append(s.past, s.queue[0])
			s.queue = s.queue[1:]
		}
	}
	late := time.Now().Add(-keptFor)
	s.queue = slices.DeleteFunc(s.queue, func(u update) bool { return u.at.Before(late) })
}

// hold is how long a poll waits and how much it gets at most.
func (s *Server) hold(f form) (time.Duration, int) {
	timeout := min(time.Duration(max(f.number("timeout"), 0))*time.Second, longest)
	limit := int(f.number("limit"))
	if limit < 1 || limit > mostAtOnce {
		limit = mostAtOnce
	}
	offset, now := f.number("offset"), time.Now()
	if since := now.Sub(s.polls.at); offset == s.polls.offset && since < sameAgain && timeout < sameAgain {
		timeout = sameAgain
		if since < sameAgain/6 {
			limit = 1
		}
	}
	s.polls.offset, s.polls.at = offset, now
	return timeout, limit
}

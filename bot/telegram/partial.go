package telegram

import (
	"maps"
	"strings"
	"sync"

	"skyslate/bot"
	"skyslate/storage"
)

// partialSends remembers of long texts how many of their messages are out, so that
// a later try doesn't begin anew. It need not outlive the process.
type partialSends struct {
	mu     sync.Mutex
	byName map[string]partialSend
}

type partialSend struct {
	text string
	sent int
}

func (s *partialSends) sent(o bot.Outgoing) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	if p := s.byName[o.Name]; p.text == o.Text {
		return p.sent
	}
	return 0
}

func (s *partialSends) keep(o bot.Outgoing, sent int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if sent == 0 {
		delete(s.byName, o.Name)
		return
	}
	if s.byName == nil {
		s.byName = map[string]partialSend{}
	}
	s.byName[o.Name] = partialSend{o.Text, sent}
}

// forget drops an operator's posts.
func (s *partialSends) forget(op storage.OperatorID) {
	s.mu.Lock()
	defer s.mu.Unlock()
	maps.DeleteFunc(s.byName, func(name string, _ partialSend) bool { return strings.HasPrefix(name, string(op)+"/") })
}

package telegram

import (
	"fmt"
	"strconv"

	"skyslate/storage"
)

// forget removes what is remembered of an operator who is to be forgotten: they
// are a stranger from here on, and what is being fetched for them is called off.
// An owner leaves a bot without one: the code for the next is written anew.
func (t *Transport) forget(op storage.OperatorID) (remains string, err error) {
	id, err := strconv.ParseInt(string(op), 10, 64)
	if err != nil {
		return "", nil // nobody on this service
	}
	wasOwner := false
	err = t.keep(func(m *memory) []storage.Raw {
		wasOwner = m.Owner == id
		m.forget(id)
		return nil
	})
	if err != nil {
		return "", fmt.Errorf("forget an operator: %w", err)
	}
	if wasOwner {
		t.ownerless()
	}
	return "", nil
}

// ownerless makes the code for the next owner.
func (t *Transport) ownerless() {
	t.mu.Lock()
	defer t.mu.Unlock()
	if err := t.prepareCode(); err != nil {
		t.log.Error("the bot has no owner any more, and no code for the next one could be written; it is tried again at the next start", "err", err)
		return
	}
	if t.codeFile != "" {
		t.log.Warn("the owner is forgotten: whoever sends the code that stands in this file is the next one", "file", t.codeFile)
	}
}

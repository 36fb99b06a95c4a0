package matrix

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"skyslate/bot/run"
	"skyslate/storage"
)

// ownerField is what a room of ours says of whose it is, in its creation: a room that
// is not remembered is found again by it.
const ownerField = "skyslate.operator"

const (
	openAgain  = 10 * time.Second // after a failure
	askAgain   = time.Hour        // after a refusal
	openedOnce = time.Hour        // a room that turns out to be of no use is opened anew no sooner
)

// wishes are the people who want to be written to. Safe for concurrent use.
type wishes struct {
	mu     sync.Mutex
	people map[storage.OperatorID]bool
}

func (w *wishes) add(op storage.OperatorID) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.people == nil {
		w.people = map[storage.OperatorID]bool{}
	}
	w.people[op] = true
}

func (w *wishes) remove(op storage.OperatorID) {
	w.mu.Lock()
	defer w.mu.Unlock()
	delete(w.people, op)
}

func (w *wishes) all() (ops []storage.OperatorID) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for op := range w.people {
		ops = append(ops, op)
	}
	slices.Sort(ops)
	return ops
}

// reach is how an address is invited: see [guests.Reach]. The room is opened once the
// invitation is on disk, which the notice about it tells.
func (t *Transport) reach(address string) (op storage.OperatorID, keep map[string][]byte, ok bool) {
	op = storage.OperatorID(address)
	if !Serves(op) {
		return "", nil, false
	}
	t.wishes.add(op)
	return op, map[string][]byte{underRoom + address: encoded(&room{})}, true
}

// roomLoop opens the rooms that are wanted: those of the owner, of whoever is invited
// by address, and of whoever is in and asks the bot into a room of their own. An owner who
// is forgotten has to do that.
func (t *Transport) roomLoop(ctx context.Context) {
	t.mu.Lock()
	if t.owner != "" && t.kept.Left != mark(t.owner) {
		t.wishes.add(t.owner)
	}
	for op, r := range t.kept.rooms {
		if r.ID == "" {
			t.wishes.add(op)
		}
	}
	t.mu.Unlock()
	for ctx.Err() == nil {
		again := t.openRooms(ctx)
		var retry <-chan time.Time
		if again > 0 {
			retry = time.After(again)
		}
		select {
		case <-t.opening:
		case <-retry:
		case <-ctx.Done():
		}
	}
}

// openRooms opens what it can and returns when to try the rest, 0 for none.
func (t *Transport) openRooms(ctx context.Context) (again time.Duration) {
	later := func(d time.Duration) {
		if again == 0 || d < again {
			again = d
		}
	}
	for _, op := range t.wishes.all() {
		if !t.guests.Admits(op) {
			continue // the invitation is not on disk yet, or taken back
		}
		refused := t.openRoom(ctx, op)
		switch {
		case refused == nil:
			t.wishes.remove(op)
		case refused.fate == run.Stop:
			t.fatal(refused.err)
		case refused.fate == run.Again:
			t.log.Warn("a room could not be opened; it is tried again", "operator", string(op), "err", refused.err)
			later(max(refused.after, openAgain))
		case op == t.owner:
			t.log.Error("the owner can't be invited: is -matrix-owner right?", "owner", string(op), "err", refused.err)
			later(askAgain)
		default:
			t.uninvite(op, refused)
		}
	}
	return again
}

// uninvite gives an invitation up that the server refuses.
func (t *Transport) uninvite(op storage.OperatorID, refused *refusal) {
	t.log.Warn("somebody can't be invited", "operator", string(op), "err", refused.err)
	t.wishes.remove(op)
	err := t.alter(func(d *draft) {
		d.changed[op] = nil
		d.TellOwner(fmt.Sprintf(textUninvited, op, refused.err))
	})
	if err != nil {
		t.log.Warn("that an invitation is refused could not be stored", "err", err)
	}
}

// openRoom invites an operator to their room, and opens it before if there is none.
func (t *Transport) openRoom(ctx context.Context, op storage.OperatorID) *refusal {
	ctx, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	if r, known := t.roomOf(op); known && r.ID != "" {
		if r.Joined {
			return nil
		}
		_, err := t.client.InviteUser(ctx, id.RoomID(r.ID), &mautrix.ReqInviteUser{UserID: id.UserID(op)})
		if refused := t.refusalOf(err); refused != nil && refused.fate != run.Never {
			return refused
		}
		return nil // refused: they are in it, or invited
	}
	always := 100
	made, err := t.client.CreateRoom(ctx, &mautrix.ReqCreateRoom{
		Preset: "private_chat", IsDirect: true, Name: roomName, Topic: roomTopic, Invite: []id.UserID{id.UserID(op)},
		CreationContent: map[string]any{ownerField: string(op)},
		// The person may write, and nothing else: no third comes in, and nobody switches
		// on what the bot can't read.
		PowerLevelOverride: &event.PowerLevelsEventContent{InvitePtr: &always, StateDefaultPtr: &always},
	})
	if err != nil {
		return t.refusalOf(err)
	}
	err = t.alter(func(d *draft) { d.changed[op] = &room{ID: string(made.RoomID), Opened: d.Now} })
	if err != nil { // found again by what its creation says
		return t.refusalOf(err)
	}
	t.teller.Wake()
	return nil
}

// adopt takes a room of ours back that is not remembered, or leaves it: nobody needs
// it, or its operator has another one. Another's is left, too. Where nothing tells
// whose it is it stays as it is.
func (t *Transport) adopt(ctx context.Context, roomID string, state []json.RawMessage) {
	for _, raw := range state {
		h, whole := readHappening(raw)
		if !whole || h.kind != typeCreate {
			continue
		}
		op := storage.OperatorID(h.content.text(ownerField))
		taken := false
		err := t.alter(func(d *draft) {
			if r, _ := d.room(op); h.sender == d.User && r.ID == "" && Serves(op) && d.Admits(op) {
				d.changed[op], taken = &room{ID: roomID, Opened: d.Now}, true
			} else if r.ID == roomID {
				taken = true
			}
		})
		if err == nil && !taken {
			t.leave(ctx, roomID)
		}
		return
	}
}

// leave leaves a room, or declines an invitation.
func (t *Transport) leave(ctx context.Context, roomID string) {
	ctx, cancel := context.WithTimeout(ctx, callFor)
	defer cancel()
	_, err := t.client.LeaveRoom(ctx, id.RoomID(roomID))
	if refused := t.refusalOf(err); refused != nil {
		t.log.Warn("a room could not be left", "room", roomID, "err", refused.err)
	}
}

// decline declines an invitation into a room that is not ours; who sent it gets a room
// of ours if they are in.
func (t *Transport) decline(ctx context.Context, roomID string, state []json.RawMessage) {
	for _, raw := range state {
		h, _ := readHappening(raw)
		if op := storage.OperatorID(h.sender); h.kind == typeMember && h.stateKey == t.me() && t.guests.Admits(op) {
			if err := t.alter(func(d *draft) { d.returns(op) }); err != nil {
				t.log.Warn("that the owner is back could not be stored", "err", err)
			}
			t.wishes.add(op)
			t.opening.Ring()
		}
	}
	t.log.Info("an invitation was declined: the bot talks in rooms of its own", "room", roomID)
	t.leave(ctx, roomID)
}

// useless forgets the room of an operator into which nothing can be sent any more, so
// that another is opened; false if it is too new for that.
func (t *Transport) useless(op storage.OperatorID, r room) bool {
	if t.now().Sub(r.Opened).Abs() < openedOnce {
		return false
	}
	if err := t.alter(func(d *draft) { d.changed[op] = &room{} }); err != nil {
		return false
	}
	t.wishes.add(op)
	t.opening.Ring()
	return true
}

package tx

import (
	"reflect"
	"slices"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// OwnThings reads what the operator has for themselves.
func (t *Tx) OwnThings() sky.Own {
	own, _ := Got(t, func() (sky.Own, bool, error) {
		own, err := sky.ReadOwn(t.View, t.Op.ID)
		return own, true, err
	})
	return own
}

// KeepOwn keeps an operator's things, and plans with them from here on.
func (t *Tx) KeepOwn(own sky.Own) {
	key, body, err := own.Keep(t.Op.ID)
	if err != nil {
		t.Err = err
		return
	}
	t.Keep(key, body)
	t.Sky = t.Skies.Shared.With(own)
}

// FlowOn begins to count anew on another day.
func FlowOn(f *storage.Flow, at time.Time) {
	if today := at.Truncate(Day); !today.Equal(f.Day) {
		*f = storage.Flow{Minute: f.Minute, InMinute: f.InMinute, Day: today}
	}
}

// NoteOwnSide keeps what the own call and grids are, and since when.
func NoteOwnSide(op *storage.Operator, at time.Time) {
	now := storage.OwnSide{Since: at, Call: op.Call, Grids: op.Place.Grids, Zone: op.Place.Zone}
	n := len(op.Own)
	switch {
	case !now.Call.IsValid() || len(now.Grids) == 0:
	case n == 0:
		now.Since = op.Place.Set
		op.Own = []storage.OwnSide{now}
	case op.Own[n-1].Call != now.Call || !slices.Equal(op.Own[n-1].Grids, now.Grids):
		op.Own = append(op.Own, now)
		old := func(o storage.OwnSide) bool { return o.Since.Before(at.Add(-2 * Day)) }
		for len(op.Own) > 1 && old(op.Own[1]) {
			op.Own = op.Own[1:]
		}
	}
}

// SetBefore are the settings as they were before the event, where it changed them in
// words or by a tap; nil while they are still being asked for. A live location moves by
// itself, and is no step of the operator's.
func (t *Tx) SetBefore() *storage.Settings {
	was, now := t.was, t.Op.Settings()
	asked := !was.Call.IsValid() || len(was.Place.Grids) == 0
	live := t.Event.Spot != nil && t.Event.Spot.Live
	if asked || live || t.Event.Kind == event.Moment {
		return nil
	}
	// Where the grids are the same nothing but what was asked of them changed.
	if slices.Equal(was.Place.Grids, now.Place.Grids) {
		now.Place = was.Place
	}
	if slices.Equal(was.Home.Grids, now.Home.Grids) {
		now.Home = was.Home
	}
	if reflect.DeepEqual(was, now) {
		return nil
	}
	return &was
}

// SetBack makes the settings what they were.
func SetBack(op *storage.Operator, to storage.Settings, now time.Time) {
	if !slices.Equal(to.Place.Grids, op.Place.Grids) {
		place := to.Place
		place.Set = now
		Move(op, place, now)
	}
	op.Call, op.Home, op.Remind, op.Radio, op.Wanted = to.Call, to.Home, to.Remind, to.Radio, to.Wanted
}

// OwnSince adds to what is known of the own side the changes since.
func OwnSince(known, now []storage.OwnSide) []storage.OwnSide {
	for _, o := range now {
		switch n := len(known); {
		case n == 0 || o.Since.After(known[n-1].Since):
			known = append(known, o)
		case o.Since.Equal(known[n-1].Since):
			known[n-1] = o // both changed at once
		}
	}
	return known
}

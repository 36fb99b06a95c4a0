package tx

import (
	"time"

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

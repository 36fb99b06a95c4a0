package report

import (
	"encoding/json"

	"skyslate/bot/say/limits"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// TellLost says what damage to the store has taken from the operator's log.
func (r Reports) TellLost() {
	key := storage.OwnKey(r.Op.ID, storage.LostKey)
	kept, _ := tx.Got(r.Tx, func() ([]byte, bool, error) {
		kept, err := r.View.Kept(key)
		return kept, true, err
	})
	var lost storage.Losses
	if json.Unmarshal(kept, &lost) != nil {
		return // it was told already
	}
	r.Keep(key, nil)
	text := limits.Lost{Since: lost.Since, All: lost.All}
	for _, id := range lost.Contacts {
		c, _ := r.Contact(id)
		view := limits.LostContact{Number: id, Call: c.Call, Time: c.Time, Changed: c.Version > 0}
		if pass, ok := r.Pass(c.Pass); ok && pass.Bird.Name != "" {
			view.Pass = shown.Planned(pass).Name
		}
		text.Contacts = append(text.Contacts, view)
	}
	r.Say(limits.AfterDamage(text))
}

package watch

import (
	"encoding/json"

	"skyslate/bot/say/limits"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// TellLost says what damage to the store has taken from the operator's log.
func (p Teller) TellLost() {
	key := storage.OwnKey(p.Op.ID, storage.LostKey)
	kept, _ := tx.Got(p.Tx, func() ([]byte, bool, error) {
		kept, err := p.View.Kept(key)
		return kept, true, err
	})
	var lost storage.Losses
	if json.Unmarshal(kept, &lost) != nil {
		return // it was told already
	}
	p.Keep(key, nil)
	text := limits.Lost{Since: lost.Since, All: lost.All}
	for _, id := range lost.Contacts {
		c, _ := p.Contact(id)
		view := limits.LostContact{Number: id, Call: c.Call, Time: c.Time, Changed: c.Version > 0}
		if pass, ok := p.Pass(c.Pass); ok && pass.Bird.Name != "" {
			view.Pass = shown.Planned(pass).Name
		}
		text.Contacts = append(text.Contacts, view)
	}
	p.Say(limits.AfterDamage(text))
}

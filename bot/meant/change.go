package meant

import (
	"cmp"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// fields are what a change of a contact is called in evidence, where that isn't the
// word of the command.
var fields = map[string]string{
	"call": contact.TheirCall, "grid": contact.TheirGrid, "mycall": contact.OwnCall, "mygrid": contact.OwnGrid,
}

// ChangeTo is a change to contacts of a pass as evidence; refusal says what is
// wrong with it.
func (f Finder) ChangeTo(field, value string, pass storage.Pass) (to storage.Change, refusal string) {
	field = strings.TrimSuffix(field, "s")
	to.Field = cmp.Or(fields[field], field)
	switch field {
	case "bird":
		bird, ok := f.Sky.Bird(value)
		if !ok {
			return to, say.UnknownBird(value, f.Sky.ProperNames())
		}
		to.Catalog = bird.Catalog
	case "call", "mycall":
		call, err := tx.CallIn(value)
		if err != nil {
			return to, err.Error()
		}
		to.Call = call
	case "grid", "mygrid":
		grids, left, err := tx.GridsIn(value)
		if err == nil && left != "" {
			err = tx.Sayable(say.BadGrid(left))
		}
		if err != nil {
			return to, err.Error()
		}
		to.Grids = grids
	case "date":
		date, err := time.Parse(time.DateOnly, value)
		if err != nil || date.After(f.Event.At) {
			return to, say.BadDate(value)
		}
		to.Date = date
	case "slate":
		slate, ok := timing.SlateIn("slate "+value, pass, f.Event.At)
		if !ok {
			return to, say.SlateHow
		}
		to.Slate = slate
	default:
		return to, say.CorrectHow
	}
	return to, ""
}

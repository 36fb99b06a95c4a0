package tx

import (
	"slices"

	"skyslate/storage"
)

// mostBulks is how many changes may wait to be decided.
const mostBulks = 6

// Propose keeps a change that is shown until it is decided, or too many others wait.
func Propose(o *storage.Operator, b storage.Bulk) {
	bulks := slices.DeleteFunc(slices.Clone(o.Bulks), func(old storage.Bulk) bool { return old.Message == b.Message })
	o.Bulks = append(bulks, b)
	o.Bulks = o.Bulks[max(len(o.Bulks)-mostBulks, 0):]
}

// Decide takes the change that a message asked for out of those that wait.
func Decide(o *storage.Operator, message int64) (b storage.Bulk, ok bool) {
	i := slices.IndexFunc(o.Bulks, func(b storage.Bulk) bool { return b.Message == message })
	if i < 0 {
		return b, false
	}
	b = o.Bulks[i]
	o.Bulks = slices.Delete(slices.Clone(o.Bulks), i, i+1)
	return b, true
}

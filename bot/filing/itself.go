package filing

import (
	"slices"

	"skyslate/bot/idiom"
	"skyslate/bot/lineage"
	"skyslate/parse"
)

// ofItself is what a line says that was edited to what only says how the contact ended which
// it told before: that is of its own contact, as an answer to it would be, and of no other.
// What takes it back leaves nothing of it.
func (f *Facts) ofItself(m *Message, n lineage.Line) (text string, ok bool) {
	before := m.lineage.Before(n)
	if len(before) == 0 || m.Said.Forwarded {
		return "", false
	}
	now := f.Read(n.Text, parse.Known{Birds: f.Names})[0]
	if ends := now.Withdraws || now.Denies || now.Heads.Why == parse.Denied && len(m.lineage.Lines) == 1; !ends || len(now.Contacts) > 0 {
		return "", false
	}
	for _, told := range before {
		if _, corrects := idiom.Named(told, f.isBird); corrects || !slices.ContainsFunc(f.Read(told, parse.Known{Birds: f.Names})[0].Contacts, IsSome) {
			continue
		}
		if now.Withdraws {
			return "", true
		}
		return told + ", " + n.Text, true
	}
	return "", false
}

package ledger

import (
	"slices"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// Notes are the messages under a pass that say nothing of the log and ask nothing, in their
// order.
func (l *Ledger) Notes(pass storage.Pass) (notes []say.Note) {
	for _, s := range l.sittingsAbout(pass) {
		if s.Log.Messages == nil {
			l.Read(s)
		}
		for _, m := range s.Log.Messages {
			said, known := l.MessageOf(m.ID)
			if known && m.Pass == pass.ID && !m.Speaks() && len(m.Asks) == 0 && len(m.Questions) == 0 {
				notes = append(notes, say.Note{At: said.At, Text: said.Text})
			}
		}
	}
	return notes
}

// sittingsAbout are the sittings that may hold messages under a pass, in order: those with
// contacts of it and, of the last day, those since it began.
func (l *Ledger) sittingsAbout(pass storage.Pass) []*Sitting {
	all := l.sittingsOn(map[storage.PassID]bool{pass.ID: true})
	for id := l.Present().ID; id > 0 && l.Event.At.Sub(pass.LOS) < tx.Day; id-- {
		s, ok := l.SittingOf(id)
		if !ok || s.Last.Before(pass.AOS) {
			break
		}
		if len(s.Evidence) > 0 && !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	slices.SortFunc(all, byID)
	return all
}

// ShowNotes shows the notes of a pass.
func (l *Ledger) ShowNotes(pass storage.Pass) {
	if pass.ID == "" {
		l.Say(say.NoSuchPass)
		return
	}
	l.Say(say.Notes(say.PassName(shown.Planned(pass)), l.Notes(pass)))
}

package bot

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// wordAll behind /voice asks for all recordings of the last day, behind /log for
// all that the pass at hand has.
const wordAll = "all"

// giveVoices hands voice messages back, in order, and says where each lies: those
// of a pass named by a time; without a word those of the pass at hand and those of
// the last hours that lie outside any; all of the last day.
func (p *plan) giveVoices(word string) {
	var all []storage.Message
	pass, ok := p.passMeant(strings.TrimSpace(strings.ReplaceAll(strings.ToLower(word), wordAll, "")))
	switch {
	case strings.EqualFold(word, wordAll):
		for _, one := range p.PassesIn(p.Event.At.Add(-tx.Day), p.Event.At.Add(time.Second)) {
			all = append(all, p.voices(storage.Recording{Pass: one.ID})...)
		}
		all = append(all, p.voicesOutside(tx.Day)...)
	case word == "":
		all = append(p.voices(storage.Recording{Pass: pass.ID}), p.voicesOutside(contact.LookBack)...)
	case !ok:
		p.Say(say.NoSuchPass)
		return
	default:
		all = p.voices(storage.Recording{Pass: pass.ID})
	}
	if len(all) == 0 {
		p.Say(say.NoVoices(shown.Planned(pass)))
		return
	}
	slices.SortFunc(all, func(a, b storage.Message) int { return cmp.Compare(a.ID, b.ID) })
	for i, m := range all {
		begun, known := voiceBegan(m)
		if !known {
			begun = time.Time{}
		}
		p.Post(storage.Post{
			Name: p.Name("voice", p.Event.ID, i), ReplyTo: m.ID, Voice: m.VoiceRef, Silent: true, Pass: m.Pass,
			Text: say.Voice(i+1, len(all), p.whereIs(m), m.Voice, begun),
		})
	}
}

// voicesOutside are the voice messages of a time up to now that belong to no pass,
// in order.
func (p *plan) voicesOutside(back time.Duration) []storage.Message {
	var all []storage.Message
	p.Visit(func() error {
		return p.View.VisitLatestMessages(p.Op.ID, "", func(m storage.Message) bool {
			if m.Voice != "" {
				all = append(all, m)
			}
			return p.Event.At.Sub(m.At) <= back
		})
	})
	slices.Reverse(all)
	return tx.Filter(all, func(m storage.Message) bool { return p.Event.At.Sub(m.At) <= back })
}

// voiceBegan is when a voice message began; ok is false if its stamp doesn't tell.
func voiceBegan(m storage.Message) (at time.Time, ok bool) {
	length, err := time.ParseDuration(m.Voice)
	return m.At.Add(-length), err == nil && !m.VoiceLate
}

// whereIs says where a voice message lies: on its pass, or how far from the
// nearest one.
func (p *plan) whereIs(m storage.Message) string {
	at, known := voiceBegan(m)
	pass, on := p.Pass(m.Pass)
	if !known {
		if on {
			return say.PassName(shown.Planned(pass))
		}
		return say.OutsidePasses
	}
	if !on {
		near := tx.Filter(p.PassesIn(at.Add(-time.Hour), at.Add(time.Hour)), func(other storage.Pass) bool {
			return other.Followed() || p.Follows(other)
		})
		if len(near) == 0 {
			return say.OutsidePasses
		}
		pass = slices.MinFunc(near, func(a, b storage.Pass) int { return cmp.Compare(contact.Apart(a, at), contact.Apart(b, at)) })
	}
	return say.Beside(shown.Planned(pass), at)
}

// voices are the voice messages of a recording, in order.
func (p *plan) voices(r storage.Recording) []storage.Message {
	if r.Voice != 0 {
		if m, ok := p.MessageOf(r.Voice); ok {
			return []storage.Message{m}
		}
		return nil
	}
	if r.Pass == "" {
		return nil
	}
	all := tx.List(p.Tx, func() ([]storage.Message, error) { return p.View.Messages(p.Op.ID, r.Pass) })
	return tx.Filter(all, func(m storage.Message) bool { return m.Voice != "" })
}

// spoken keeps a voice message, by reference, with the pass it was recorded on.
func (p *plan) spoken() {
	m := storage.Message{
		Operator: p.Op.ID, ID: p.Event.Message, At: p.Event.At, Text: p.Event.Text,
		Voice: p.Event.Length.Round(time.Second).String(), VoiceRef: p.Event.Voice,
	}
	if p.Ready() {
		m.VoiceLate = p.delayed(p.Event.At)
		m.Pass = p.passAt(p.Event.At.Add(-p.Event.Length)).Pass.ID
	}
	p.Message = &m
	p.Post(storage.Post{Name: p.Name("sign", m.ID), Op: storage.React, ReplyTo: m.ID, Text: say.NoteSign, Silent: true})
}

// recordingName names a recording in a few characters.
func (p *plan) recordingName(r storage.Recording) string {
	if r.Voice != 0 {
		return say.VoiceMessage
	}
	if pass, ok := p.Pass(r.Pass); ok {
		return say.PassName(shown.Planned(pass))
	}
	return say.Recording
}

package bot

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// saySlate says what the slate of a recording is by now, where it was asked.
func (p *plan) saySlate(s *sitting, told contact.Told) {
	n, before := 0, 0
	for _, c := range p.Touched() {
		if c.Mark != nil && contact.RecordingOf(c, c.Pass) == told.Of && c.Mark.Slate.Equal(told.Slate) {
			n++
		}
	}
	for _, c := range s.log.Contacts {
		if c.Mark != nil && contact.RecordingOf(c.Contact, c.Pass) == told.Of && c.Mark.Slate.Equal(told.Before) && c.State != storage.Dropped {
			before++
		}
	}
	text := say.SlateTold(p.recordingName(told.Of), told.Slate, n)
	if !told.Before.IsZero() && !told.Before.Equal(told.Slate) && before > 0 {
		text += "\n" + say.EarlierSlate(told.Before, before)
	}
	p.Put(storage.Post{Name: p.slatePost(told.Of), ReplyTo: p.Event.Message, Text: text, Pass: told.Of.Pass})
}

func (p *plan) slatePost(r storage.Recording) string {
	if r.Voice != 0 {
		return p.Name("slate", "voice", r.Voice)
	}
	if r.Pass == "" {
		return p.Name("slate", "none")
	}
	return p.Name("slate", r.Pass)
}

// slateOffers are the times that a recording may have begun at, one tap each: a
// voice message that came live began its length before it was sent, and a time
// on a line of its own may be the slate.
func (p *plan) slateOffers(s *sitting, r storage.Recording) [][]storage.Button {
	var rows [][]storage.Button
	offer := func(when time.Time, why string) {
		data := fmt.Sprintf("%s:%d:%d:%s", tapSlate, when.Unix(), r.Voice, r.Pass)
		rows = append(rows, []storage.Button{{Label: say.Clock(when) + why, Data: data}})
	}
	for _, m := range p.voices(r) {
		if at, ok := voiceBegan(m); ok && len(rows) < tx.MaxChoices-1 {
			offer(at, say.LabelFromVoice)
		}
	}
	if !s.log.Carried.IsZero() && r.Pass != "" && s.log.CarriedFor == r.Pass {
		offer(s.log.Carried, say.LabelFromTyped)
	}
	return rows
}

// tapSlateAt answers the button that offers a time for a slate.
func (p *plan) tapSlateAt(rest string) {
	parts := strings.SplitN(rest, ":", 3)
	if len(parts) != 3 {
		p.Say(say.OldButton)
		return
	}
	unix, err := strconv.ParseInt(parts[0], 10, 64)
	voice, err2 := strconv.ParseInt(parts[1], 10, 64)
	if err != nil || err2 != nil {
		p.Say(say.OldButton)
		return
	}
	r, slate := storage.Recording{Pass: storage.PassID(parts[2]), Voice: voice}, time.Unix(unix, 0).UTC()
	s := p.present()
	before := s.log.Slates[r]
	p.offer(s, storage.Evidence{Kind: storage.EvSlate, Recording: &r, Slate: slate})
	p.saySlate(s, contact.Told{Of: r, Slate: slate, Before: before})
	p.show()
}

// recordingOfPost is the recording whose slate a post asks for.
func (p *plan) recordingOfPost(post storage.Post) *storage.Recording {
	rest := strings.TrimPrefix(post.Name, p.Name("slate")+"/")
	if id, ok := strings.CutPrefix(rest, "voice/"); ok {
		n, err := strconv.ParseInt(id, 10, 64)
		if err != nil {
			return nil
		}
		return &storage.Recording{Voice: n}
	}
	if rest == "none" {
		return &storage.Recording{}
	}
	return &storage.Recording{Pass: storage.PassID(rest)}
}

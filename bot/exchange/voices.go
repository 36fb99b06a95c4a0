package exchange

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// everyVoice asks for all voice messages of the last day.
const everyVoice = "all"

// GiveVoices hands voice messages back, in order, and says where each lies: those
// of a pass named by a time; without a word those of the pass at hand and those of
// the last hours that lie outside any; all of the last day.
// meant finds a pass by a time.
func (p Exchange) GiveVoices(word string, meant func(string) (storage.Pass, bool)) {
	var all []storage.Message
	pass, ok := meant(strings.TrimSpace(strings.ReplaceAll(strings.ToLower(word), everyVoice, "")))
	switch {
	case strings.EqualFold(word, everyVoice):
		for _, pass := range p.StoredIn(p.Event.At.Add(-tx.Day), p.Event.At.Add(time.Second)) {
			all = append(all, Voices(p.Tx, storage.Recording{Pass: pass.ID})...)
		}
		all = append(all, p.voicesOutside(tx.Day)...)
	case word == "":
		all = append(Voices(p.Tx, storage.Recording{Pass: pass.ID}), p.voicesOutside(filing.LookBack)...)
	case !ok:
		p.Say(say.NoSuchPass)
		return
	default:
		all = Voices(p.Tx, storage.Recording{Pass: pass.ID})
	}
	if len(all) == 0 {
		p.Say(say.NoVoices(shown.Planned(pass)))
		return
	}
	slices.SortFunc(all, func(a, b storage.Message) int { return cmp.Compare(a.ID, b.ID) })
	for i, m := range all {
		p.Post(storage.Post{
			Name: p.Name("voice", p.Event.ID, i), ReplyTo: m.ID, Voice: m.VoiceRef, Silent: true, Pass: m.Pass,
			Text: say.Voice(i+1, len(all), p.whereIs(m), m.Voice, VoiceBegan(m)),
		})
	}
}

// voicesOutside are the voice messages of a time up to now that belong to no pass,
// in order.
func (p Exchange) voicesOutside(back time.Duration) []storage.Message {
	var all []storage.Message
	p.Visit(func() error {
		return p.View.VisitLatestMessages(p.Op.ID, "", func(m storage.Message) bool {
			near := p.Event.At.Sub(m.At) <= back
			if near && m.Voice != "" {
				all = append(all, m)
			}
			return near
		})
	})
	slices.Reverse(all)
	return all
}

// whereIs says where a voice message lies: on its pass, or how far from the
// nearest one.
func (p Exchange) whereIs(m storage.Message) string {
	at := VoiceBegan(m)
	pass, on := p.Pass(m.Pass)
	switch {
	case at.IsZero() && on:
		return say.PassName(shown.Planned(pass))
	case at.IsZero():
		return say.OutsidePasses
	case !on:
		near := lists.Filter(p.PassesIn(at.Add(-time.Hour), at.Add(time.Hour)), func(other storage.Pass) bool {
			return other.Followed() || p.Follows(other)
		})
		if len(near) == 0 {
			return say.OutsidePasses
		}
		pass = timing.Closest(near, at)
	}
	return say.Beside(shown.Planned(pass), at)
}

// Voices are the voice messages of a recording, in order.
func Voices(t *tx.Tx, r storage.Recording) []storage.Message {
	if m, ok := t.MessageOf(r.Voice); ok && r.Voice != 0 {
		return []storage.Message{m}
	}
	if r.Pass == "" || r.Voice != 0 {
		return nil
	}
	all := tx.List(t, func() ([]storage.Message, error) { return t.View.Messages(t.Op.ID, r.Pass) })
	return lists.Filter(all, func(m storage.Message) bool { return m.Voice != "" })
}

// VoiceBegan is when a voice message began; zero if its stamp doesn't tell.
func VoiceBegan(m storage.Message) time.Time {
	length, err := time.ParseDuration(m.Voice)
	if err != nil || m.VoiceLate {
		return time.Time{}
	}
	return m.At.Add(-length)
}

// SlatePost names the post that asks for the slate of a recording; SlateAsked reads it.
func SlatePost(t *tx.Tx, r storage.Recording) string {
	if r.Voice != 0 {
		return t.Name("slate", "voice", r.Voice)
	}
	if r.Pass == "" {
		return t.Name("slate", "none")
	}
	return t.Name("slate", r.Pass)
}

// SlateAsked is the recording whose slate a post asks for; nil if it asks for none.
func SlateAsked(t *tx.Tx, post storage.Post) *storage.Recording {
	rest, asks := strings.CutPrefix(post.Name, t.Name("slate")+"/")
	id, voice := strings.CutPrefix(rest, "voice/")
	n, err := strconv.ParseInt(id, 10, 64)
	switch {
	case !asks || voice && err != nil:
		return nil
	case voice:
		return &storage.Recording{Voice: n}
	case rest == "none":
		return &storage.Recording{}
	}
	return &storage.Recording{Pass: storage.PassID(rest)}
}

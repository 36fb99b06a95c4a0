package bot

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// recordings are what operators record instead of typing: voice messages, and the
// slates that say when a recording began.
type recordings struct {
	*tx.Tx
	finder finder
}

// giveVoices hands voice messages back, in order, and says where each lies: those
// of a pass named by a time; without a word those of the pass at hand and those of
// the last hours that lie outside any; all of the last day.
func (rs recordings) giveVoices(word string) {
	var all []storage.Message
	pass, ok := rs.finder.passMeant(strings.TrimSpace(strings.ReplaceAll(strings.ToLower(word), wordAll, "")))
	switch {
	case strings.EqualFold(word, wordAll):
		for _, pass := range rs.StoredIn(rs.Event.At.Add(-tx.Day), rs.Event.At.Add(time.Second)) {
			all = append(all, rs.voices(storage.Recording{Pass: pass.ID})...)
		}
		all = append(all, rs.voicesOutside(tx.Day)...)
	case word == "":
		all = append(rs.voices(storage.Recording{Pass: pass.ID}), rs.voicesOutside(contact.LookBack)...)
	case !ok:
		rs.Say(say.NoSuchPass)
		return
	default:
		all = rs.voices(storage.Recording{Pass: pass.ID})
	}
	if len(all) == 0 {
		rs.Say(say.NoVoices(shown.Planned(pass)))
		return
	}
	slices.SortFunc(all, func(a, b storage.Message) int { return cmp.Compare(a.ID, b.ID) })
	for i, m := range all {
		rs.Post(storage.Post{
			Name: rs.Name("voice", rs.Event.ID, i), ReplyTo: m.ID, Voice: m.VoiceRef, Silent: true, Pass: m.Pass,
			Text: say.Voice(i+1, len(all), rs.whereIs(m), m.Voice, voiceBegan(m)),
		})
	}
}

// voicesOutside are the voice messages of a time up to now that belong to no pass,
// in order.
func (rs recordings) voicesOutside(back time.Duration) []storage.Message {
	var all []storage.Message
	rs.Visit(func() error {
		return rs.View.VisitLatestMessages(rs.Op.ID, "", func(m storage.Message) bool {
			near := rs.Event.At.Sub(m.At) <= back
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
func (rs recordings) whereIs(m storage.Message) string {
	at := voiceBegan(m)
	pass, on := rs.Pass(m.Pass)
	switch {
	case at.IsZero() && on:
		return say.PassName(shown.Planned(pass))
	case at.IsZero():
		return say.OutsidePasses
	case !on:
		near := tx.Filter(rs.PassesIn(at.Add(-time.Hour), at.Add(time.Hour)), func(other storage.Pass) bool {
			return other.Followed() || rs.Follows(other)
		})
		if len(near) == 0 {
			return say.OutsidePasses
		}
		pass = slices.MinFunc(near, func(a, b storage.Pass) int { return cmp.Compare(contact.Apart(a, at), contact.Apart(b, at)) })
	}
	return say.Beside(shown.Planned(pass), at)
}

// voices are the voice messages of a recording, in order.
func (rs recordings) voices(r storage.Recording) []storage.Message {
	if m, ok := rs.MessageOf(r.Voice); ok && r.Voice != 0 {
		return []storage.Message{m}
	}
	if r.Pass == "" || r.Voice != 0 {
		return nil
	}
	all := tx.List(rs.Tx, func() ([]storage.Message, error) { return rs.View.Messages(rs.Op.ID, r.Pass) })
	return tx.Filter(all, func(m storage.Message) bool { return m.Voice != "" })
}

// recordingName names a recording in a few characters.
func (rs recordings) recordingName(r storage.Recording) string {
	if r.Voice != 0 {
		return say.VoiceMessage
	}
	if pass, ok := rs.Pass(r.Pass); ok {
		return say.PassName(shown.Planned(pass))
	}
	return say.Recording
}

func (rs recordings) slatePost(r storage.Recording) string {
	if r.Voice != 0 {
		return rs.Name("slate", "voice", r.Voice)
	}
	if r.Pass == "" {
		return rs.Name("slate", "none")
	}
	return rs.Name("slate", r.Pass)
}

// slateOffers are the times that a recording may have begun at, one tap each: a
// voice message that came live began its length before it was sent, and a time
// on a line of its own may be the slate.
func (rs recordings) slateOffers(s *sitting, r storage.Recording) [][]storage.Button {
	var rows [][]storage.Button
	offer := func(when time.Time, why string) {
		rows = append(rows, []storage.Button{tx.Button(say.Clock(when)+why, tapSlate, when.Unix(), r.Voice, r.Pass)})
	}
	for _, m := range rs.voices(r) {
		if at := voiceBegan(m); !at.IsZero() && len(rows) < tx.MaxChoices-1 {
			offer(at, say.LabelFromVoice)
		}
	}
	if !s.log.Carried.IsZero() && r.Pass != "" && s.log.CarriedFor == r.Pass {
		offer(s.log.Carried, say.LabelFromTyped)
	}
	return rows
}

// recordingOf is the recording whose slate a post asks for; nil if it asks for none.
func recordingOf(t *tx.Tx, post storage.Post) *storage.Recording {
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

// voiceBegan is when a voice message began; zero if its stamp doesn't tell.
func voiceBegan(m storage.Message) time.Time {
	length, err := time.ParseDuration(m.Voice)
	if err != nil || m.VoiceLate {
		return time.Time{}
	}
	return m.At.Add(-length)
}

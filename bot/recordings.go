package bot

import (
	"time"

	"skyslate/bot/exchange"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// recordings are what operators record instead of typing: voice messages, and the
// slates that say when a recording began.
type recordings struct {
	*tx.Tx
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

// slateOffers are the times that a recording may have begun at, one tap each: a
// voice message that came live began its length before it was sent, and a time
// on a line of its own may be the slate.
func (rs recordings) slateOffers(s *sitting, r storage.Recording) [][]storage.Button {
	var rows [][]storage.Button
	offer := func(when time.Time, why string) {
		rows = append(rows, []storage.Button{tx.Button(say.Clock(when)+why, tapSlate, when.Unix(), r.Voice, r.Pass)})
	}
	for _, m := range exchange.Voices(rs.Tx, r) {
		if at := exchange.VoiceBegan(m); !at.IsZero() && len(rows) < tx.MaxChoices-1 {
			offer(at, say.LabelFromVoice)
		}
	}
	if told := s.log.Carried[0]; r.Pass != "" && told.For == r.Pass { // recordings are the operator's
		offer(told.At, say.LabelFromTyped)
	}
	return rows
}

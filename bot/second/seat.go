package second

import (
	"cmp"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"encoding/hex"
	"slices"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/idiom"
	"skyslate/bot/say/joint"
	"skyslate/bot/tx"
	"skyslate/storage"
	"skyslate/storage/phones"
)

// Whose says for whose log an event is: its operator's or, where they write into another's
// log, that one's.
func Whose(v *storage.View, raw storage.Raw, ev event.Event) event.Event {
	if leaves(ev) {
		return ev // one's own leaving is one's own
	}
	if log, ok := offerer(v, ev); ok {
		ev.Part = event.Joins
		if refusal(v, log, ev) != "" {
			return ev // which says so
		}
		return inLog(v, ev, log, nextNumber(log, ev.Operator))
	}
	if ev.Kind == event.Said && IsCode(ev.Text) {
		ev.Part = event.Joins // nowhere, which is said
		return ev
	}
	s := v.Seat(ev.Operator)
	if s.Log == "" && len(s.Before) == 0 && raw.Turn == "" {
		return ev // as nearly everybody's
	}
	for _, id := range append([]storage.OperatorID{s.Log}, s.Before...) {
		log, known, _ := v.Operator(id) // the view keeps the error
		phone, in := PhoneOf(log, ev.Operator)
		if !known || !in {
			continue
		}
		writes := phone.Writes(ev.At)
		switch about := aboutOf(v, log.ID, phone, ev); {
		case about == theirs:
			return ev
		case about == ofLog || id == s.Log && (writes || raw.Turn == id):
			if !writes {
				ev.Part = event.Late
			}
			return inLog(v, ev, log, phone.Number)
		}
	}
	if raw.Turn != "" { // the log is gone
		ev.Part = event.Late
	}
	return ev
}

// refusal says why a code lets somebody in no more, or not them; empty if it does.
func refusal(v *storage.View, log storage.Operator, ev event.Event) string {
	own, _, _ := v.Operator(ev.Operator) // the view keeps the error
	writing := func(p storage.Phone) bool { return p.Writes(ev.At) }
	switch {
	case ev.Forwarded, log.Offer == nil:
		return joint.NoCode
	case log.ID == ev.Operator:
		return joint.OwnCode
	case log.Offer.Used || !ev.At.Before(log.Offer.Until):
		return joint.CodeOver
	case v.Seat(ev.Operator).Holds(ev.At):
		return joint.Elsewhere
	case slices.ContainsFunc(own.Phones, writing) || v.Seat(log.ID).Holds(ev.At):
		return joint.InTurn
	}
	return ""
}

// leaves reports whether an event asks that everything of its operator be removed, or
// says so.
func leaves(ev event.Event) bool {
	name, _, ok := tx.Command(ev.Text)
	return ok && name == "forget" || strings.HasPrefix(ev.Data, tx.TapForget+":")
}

// The logs that an event of a second phone can be about.
type whose int

const (
	neither whose = iota // it is something new
	theirs               // the phone's own operator's: what it answers or changes is theirs
	ofLog                // the log's
)

// aboutOf says what an event answers, changes or taps.
func aboutOf(v *storage.View, log storage.OperatorID, phone storage.Phone, ev event.Event) whose {
	if post, ok, _ := v.PostByApp(phone.Of, cmp.Or(ev.Post, ev.ReplyTo)); ok {
		switch post.Of {
		case log:
			return ofLog
		case "":
			return theirs
		}
	}
	on := ev.ReplyTo
	if ev.Kind == event.Edited {
		on = ev.Message
	}
	if id, ok := phones.Message(phone.Number, on); ok {
		if _, known, _ := v.Message(log, id); known {
			return ofLog
		}
	}
	_, known, _ := v.Message(phone.Of, on)
	if known || answersOwn(v, phone, ev) {
		return theirs
	}
	return neither
}

// answersOwn reports whether a bare yes or no is for a question of the phone's own log: the
// last thing said on the phone.
func answersOwn(v *storage.View, phone storage.Phone, ev event.Event) bool {
	own, _, _ := v.Operator(phone.Of) // the view keeps the error
	asked, _, _ := v.Post(own.Question)
	shown, _, _ := v.Post(phone.Question)
	_, is := idiom.YesOrNo(ev.Text)
	return is && ev.Kind == event.Said && ev.ReplyTo == 0 && len(asked.Buttons) > 0 && asked.AppID != 0 && !asked.SentAt.After(ev.At) &&
		asked.Made.After(shown.Made) && asked.Made.After(phone.From)
}

// inLog is an event of a second phone as one of the log's operator. What it answers is
// the log's message, if it is one that the phone wrote there; a post keeps the number that
// it has on the phone.
func inLog(v *storage.View, ev event.Event, log storage.Operator, number int64) event.Event {
	ev.Second, ev.By, ev.Operator = ev.Operator, number, log.ID
	if id, ok := phones.Message(number, ev.Message); ok {
		ev.Message = id
	}
	_, post, _ := v.PostByApp(ev.Second, ev.ReplyTo)
	if id, ok := phones.Message(number, ev.ReplyTo); ok && !post {
		ev.ReplyTo = id
	}
	return ev
}

// PhoneOf is somebody's phone that writes into a log, or did.
func PhoneOf(log storage.Operator, of storage.OperatorID) (storage.Phone, bool) {
	i := slices.IndexFunc(log.Phones, func(p storage.Phone) bool { return p.Of == of })
	if i < 0 {
		return storage.Phone{}, false
	}
	return log.Phones[i], true
}

// nextNumber is the number that a phone has in a log, or gets.
func nextNumber(log storage.Operator, of storage.OperatorID) int64 {
	if p, ok := PhoneOf(log, of); ok {
		return p.Number
	}
	return log.Phoned + 1
}

// offerer is the operator whose code a message is.
func offerer(v *storage.View, ev event.Event) (log storage.Operator, ok bool) {
	if ev.Kind != event.Said || ev.Forwarded {
		return log, false
	}
	return offererOf(v, ev.Text)
}

func offererOf(v *storage.View, text string) (log storage.Operator, ok bool) {
	code := codeIn(text)
	if code == "" {
		return log, false
	}
	id, _ := v.Kept(OfferKey(hashOf(code)))
	if id == nil {
		return log, false
	}
	log, ok, _ = v.Operator(storage.OperatorID(id))
	return log, ok && log.Offer != nil && log.Offer.Hash == hashOf(code)
}

// codeHead is how the codes for second phones begin: one that is mistyped, or of which
// nothing is known any more, is told from a line for the log by it.
const codeHead = "phone-"

// IsCode reports whether a message is a code for a second phone, be it one that lets
// somebody in or not.
func IsCode(text string) bool { return strings.HasPrefix(codeIn(text), codeHead) }

// codeIn is the one word that a message is, be it alone or behind /start, as codes are
// spelled: phones begin a message with a capital.
func codeIn(text string) string {
	words := strings.Fields(text)
	if len(words) == 2 && strings.HasPrefix(words[0], "/start") {
		words = words[1:]
	}
	if len(words) != 1 || strings.HasPrefix(words[0], "/") {
		return ""
	}
	return strings.ToLower(words[0])
}

// OfferKey is where it is kept whose code has a hash.
func OfferKey(hash string) string { return "phone/" + hash }

// hashOf is the form in which a code is kept: a copy of the store lets nobody in.
func hashOf(code string) string {
	sum := sha256.Sum256([]byte("skyslate-phone:" + code))
	return hex.EncodeToString(sum[:])
}

// NewCode makes a code that nobody guesses: 130 bits behind its head, in characters that a
// link's payload may hold.
func NewCode(string) string {
	var b [17]byte
	_, _ = rand.Read(b[:]) // never fails: see its documentation
	return codeHead + strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:]))[:26]
}

// Lets reports whether somebody may write to the bot at a moment although nobody has let
// them in: they write into an operator's log, or hold the code to.
func Lets(v *storage.View, op storage.OperatorID, text string, at time.Time) bool {
	log, offers := offererOf(v, text)
	return v.Seat(op).Holds(at) || offers && !log.Offer.Used && at.Before(log.Offer.Until)
}

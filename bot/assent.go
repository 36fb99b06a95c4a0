package bot

import (
	"slices"

	"skyslate/bot/contact"
	"skyslate/bot/exchange"
	"skyslate/bot/idiom"
	"skyslate/bot/peers"
	"skyslate/bot/say"
	"skyslate/bot/setup"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// A bare yes or no answers the question that it replies to, or else that was the last thing
// said on the phone: as the tap that stands for it or, where a contact is asked about, as a
// reply. Where no such question is asked it says nothing of any contact.

// assents are the questions with these answers, by the verb of their first button: which of
// their buttons a yes and a no tap.
var assents = map[string]struct{ yes, no int }{
	peers.TapOn:    {1, noTap},
	tapBulk:        {1, 2},
	watch.TapThere: {1, 2},
	tx.TapForget:   {byHand, noTap},
	watch.TapHere:  {1, byWord},
	watch.TapMove:  {1, noTap},
	setup.TapCall:  {1, noTap},

	exchange.TapWorded: {1, 2},
}

const (
	noTap  = 0  // all stays as it is
	byHand = -1 // nothing is removed for good without a tap
	byWord = -2 // where one is has to be said
)

// yesOrNo is the question that a message answered which was done as a tap.
const yesOrNo = "yes/no"

// saysYesOrNo takes a message as such an answer; false where it is none, or is one like any
// reply.
func (p *plan) saysYesOrNo(m *storage.Message) bool {
	yes, is := idiom.YesOrNo(m.Text)
	post, asked := p.questionAsked()
	buttons := slices.Concat(post.Buttons...)
	if data, ok := p.peers.SaysBird(m.Text, buttons); ok && asked {
		m.Answers, p.Event.Post, p.Event.Data = yesOrNo, post.AppID, data
		p.tapped()
		return true
	}
	if !is || !asked || len(buttons) == 0 {
		return false
	}
	answers, known := assents[tx.ReadTap(buttons[0].Data).Verb]
	if !known {
		if p.asksWhether(post) {
			p.Event.ReplyTo = post.AppID
		}
		return false
	}
	n := answers.no
	if yes {
		n = answers.yes
	}
	if n > len(buttons) {
		return false
	}
	m.Answers, p.Event.Post = yesOrNo, post.AppID
	switch n {
	case byHand:
		p.Say(say.ForgetByTap)
	case byWord:
		p.Say(say.ThenWhere)
	case noTap:
		p.EditTapped(say.LeftAsItIs)
	default:
		p.Event.Data = buttons[n-1].Data
		p.tapped()
	}
	return true
}

// questionAsked is the post that the message replies to, else the last one on its phone, if
// that was there when the message was sent.
func (p *plan) questionAsked() (storage.Post, bool) {
	if p.Event.ReplyTo != 0 {
		return p.RepliedPost()
	}
	post, ok := tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.Post(p.Op.Question) })
	return post, ok && post.AppID != 0 && !post.SentAt.After(p.Event.At)
}

// asksWhether reports whether a post asks if there was such a contact at all.
func (p *plan) asksWhether(post storage.Post) bool {
	if len(post.About) != 1 {
		return false
	}
	c, _ := p.Contact(post.About[0])
	return c.State == storage.Doubtful && contact.Questionable(c.Why)
}

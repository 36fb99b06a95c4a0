package bot

import (
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/event"
	"skyslate/bot/exchange"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// A plan is what one event comes to: a Tx, with what deriving the log needs.
type plan struct {
	*tx.Tx
	watch.Planner
	watch.Outings
	watch.Skeds
	watch.Teller
	watch.Answerer
	exchange.Exchange

	step string // what the step is, where it isn't told by its contacts
	// sittings are those read or opened, undoing and changing what is done to them.
	sittings          map[uint64]*sitting
	undoing, changing bool
	followed          storage.PassID // chosen by the event
	matched           map[time.Time]contact.Match
	// forgotten: the operator and all that is theirs is to be removed.
	forgotten bool
}

func newPlan(d *Desk, v *storage.View, ev event.Event) *plan {
	t := tx.New(v, ev, d.skies)
	planner := watch.Planner{Card: watch.Card{Tx: t}}
	outings := watch.Outings{Planner: planner}
	return &plan{
		Tx: t, Planner: planner, Outings: outings, Skeds: watch.Skeds{Planner: planner},
		Teller: watch.Teller{Outings: outings}, Answerer: watch.Answerer{Planner: planner},
		Exchange: exchange.Exchange{Planner: planner},
		sittings: map[uint64]*sitting{}, matched: map[time.Time]contact.Match{},
	}
}

// changes is what the plan comes to.
func (p *plan) changes() storage.Changes {
	ch := p.Changes()
	for _, s := range p.changedSittings() {
		ch.Sittings = append(ch.Sittings, s.Sitting)
	}
	return ch
}

// finish makes the step that undo can take back.
func (p *plan) finish() {
	p.noteOwnSide()
	p.Notice()
	p.weigh()
	if len(p.Moves) == 0 {
		return
	}
	step := storage.Step{
		Operator: p.Op.ID, Seq: p.View.NextStep(p.Op.ID), At: p.Event.At, Event: p.Event.ID, What: p.what(), Moves: p.Moves,
	}
	for _, s := range p.changedSittings() {
		step.Sittings = append(step.Sittings, s.ID)
	}
	p.Steps = append(p.Steps, step)
}

// what names the step in the operator's words.
func (p *plan) what() string {
	if p.step != "" {
		return p.step
	}
	var parts []string
	for _, move := range p.Moves {
		parts = append(parts, say.Step(shown.Contact(p.Contacts[move.Contact]), move.From == 0))
	}
	return say.Steps(parts)
}

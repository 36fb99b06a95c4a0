package bot

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"skyslate/bot/say"
	"skyslate/storage"
)

// Which pass contacts belong to is asked once for all that came in one delivery,
// however different the passes are that its parts could mean: an answer files
// those that it can be true of, and the same post asks for the others.

// askPass asks which pass the contacts without one belong to. An open question
// stays where it is; one that was answered is asked anew.
func (p *plan) askPass(m storage.Message) {
	waiting := p.unplaced(func(c storage.Contact) bool { return !c.Made.Before(p.op.Delivery) })
	rivals := p.rivalsOf(waiting)
	if len(rivals) == 0 {
		rivals = p.rivals
	}
	if len(rivals) == 0 {
		rivals = p.recent(m.At)
	}
	if p.op.Which == "" {
		p.op.Which = p.name("which", p.whichKey(rivals))
	}
	text, buttons := p.whichPass(waiting, rivals, m)
	post := storage.Post{Name: p.op.Which, ReplyTo: m.ID, Silent: true, Text: text, Buttons: buttons}
	old, ok := got(p, func() (storage.Post, bool, error) { return p.view.Post(post.Name) })
	p.againAfter(rivals)
	if ok && len(old.Buttons) > 0 {
		p.put(post)
		return
	}
	p.post(post)
}

// whichPass is the question which of some passes contacts belong to. Where a heap
// names one bird as often as that passed, each part can be one pass's, in order.
func (p *plan) whichPass(waiting []storage.Contact, rivals []storage.Pass, m storage.Message) (string, [][]storage.Button) {
	buttons := p.passButtons(rivals)
	if !inOrder(waiting, rivals) {
		return say.WhichPass(plannedAll(rivals), m.At, p.notUp), buttons
	}
	first := storage.Button{Label: say.LabelInOrder, Data: fmt.Sprintf("%s:%d", tapInOrder, waiting[0].ID)}
	return say.Parts(len(rivals), rivals[0].Bird.Name), append([][]storage.Button{{first}}, buttons...)
}

// unplaced returns the contacts that wait for the answer which pass they belong to.
func (p *plan) unplaced(fits func(storage.Contact) bool) []storage.Contact {
	return only(p.waiting(), func(c storage.Contact) bool {
		return c.Why == whyPass && len(c.Rivals) > 0 && fits(c)
	})
}

// rivalsOf are the passes that contacts could belong to, by AOS.
func (p *plan) rivalsOf(waiting []storage.Contact) []storage.Pass {
	var all []storage.Pass
	for _, c := range waiting {
		for _, id := range c.Rivals {
			if pass, ok := p.pass(id); ok && !among(all, pass) {
				all = append(all, pass)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b storage.Pass) int { return a.AOS.Compare(b.AOS) })
	return all
}

// partsOf are the parts of a delivery that contacts stand in, in order.
func partsOf(waiting []storage.Contact) []int {
	var parts []int
	for _, c := range waiting {
		parts = append(parts, c.Part)
	}
	slices.Sort(parts)
	return slices.Compact(parts)
}

// inOrder reports whether contacts stand in as many parts of a delivery, one
// after the other, as there are passes of the one bird that they were made with.
func inOrder(waiting []storage.Contact, rivals []storage.Pass) bool {
	parts := partsOf(waiting)
	if len(parts) < 2 || len(parts) != len(rivals) || parts[len(parts)-1]-parts[0] != len(parts)-1 {
		return false
	}
	for _, pass := range rivals {
		if pass.Bird.Catalog != rivals[0].Bird.Catalog {
			return false
		}
	}
	return !slices.ContainsFunc(waiting, func(c storage.Contact) bool { return len(c.Rivals) != len(rivals) })
}

// tapFileInOrder files each part of a heap under one pass, in order.
func (p *plan) tapFileInOrder(rest string) {
	id, err := strconv.ParseUint(rest, 10, 64)
	first, ok := p.contact(id)
	waiting := p.unplaced(func(c storage.Contact) bool { return slices.Equal(c.Rivals, first.Rivals) })
	rivals, parts := p.rivalsOf(waiting), partsOf(waiting)
	if err != nil || !ok || !inOrder(waiting, rivals) {
		p.say(say.OldButton)
		return
	}
	p.choose(rivals[len(rivals)-1])
	var moved []storage.Contact
	for _, c := range waiting {
		f := p.under(rivals[slices.Index(parts, c.Part)])
		f.named, f.late = c.Named, true
		c = p.refile(c, f, storage.Cause{Kind: "tap", Message: c.Message})
		p.lineUnder(c, f.pass.ID)
		moved = append(moved, c)
	}
	p.editTapped(say.InOrder(plannedAll(rivals), len(moved)))
	p.showMoved(moved)
}

// showMoved asks what is in doubt of contacts that found their pass.
func (p *plan) showMoved(moved []storage.Contact) {
	for _, c := range moved {
		if c.State == storage.Doubtful && c.Why != whySlate {
			p.question(c)
		}
	}
	p.askSlates(moved)
	p.refreshAcks(0)
	p.refreshSummaries()
}

// askOthers is what a question which pass is meant goes on with after an answer
// that can't be true of all it was about.
func (p *plan) askOthers(text string) (string, [][]storage.Button) {
	post, ok := got(p, func() (storage.Post, bool, error) { return p.view.PostByApp(p.op.ID, p.ev.Post) })
	if !ok {
		return text, nil
	}
	offered := func(id storage.PassID) bool {
		return slices.ContainsFunc(post.Buttons, func(row []storage.Button) bool { return row[0].Data == tapPass+":"+string(id) })
	}
	left := p.unplaced(func(c storage.Contact) bool {
		return !slices.ContainsFunc(c.Rivals, func(id storage.PassID) bool { return !offered(id) })
	})
	if len(left) == 0 {
		return text, nil
	}
	question, buttons := p.whichPass(left, p.rivalsOf(left), storage.Message{At: p.ev.At})
	return text + "\n" + say.LeftOver(contactViews(left)) + "\n" + question, buttons
}

// againAfter puts on the agenda that the question is asked once more when the
// last of the passes is over.
func (p *plan) againAfter(rivals []storage.Pass) {
	var end storage.Pass
	for _, pass := range rivals {
		if pass.LOS.After(end.LOS) {
			end = pass
		}
	}
	if end.LOS.After(p.now()) {
		p.at(momentAgain, end.LOS, end.ID)
	}
}

// askAgain asks once more which pass the contacts belong to that still wait, now
// that hands are free.
func (p *plan) askAgain(end storage.Pass) {
	waiting := p.unplaced(func(c storage.Contact) bool { return slices.Contains(c.Rivals, end.ID) })
	if len(waiting) == 0 {
		return
	}
	p.put(storage.Post{
		Name: p.name("again", end.ID), ReplyTo: waiting[0].Message, About: ids(waiting), List: true,
		Text: say.StillOpen(contactViews(waiting)), Buttons: p.passButtons(p.rivalsOf(waiting[:1])),
	})
}

// whichKey names the question which of these passes is meant, so that it is
// asked once.
func (p *plan) whichKey(rivals []storage.Pass) string {
	if len(rivals) == 0 {
		return p.ev.ID
	}
	last := slices.MaxFunc(rivals, func(a, b storage.Pass) int { return cmp.Compare(a.ID, b.ID) })
	return string(last.ID)
}

func (p *plan) passButtons(passes []storage.Pass) [][]storage.Button {
	var rows [][]storage.Button
	for _, pass := range passes[:min(len(passes), maxChoices)] {
		rows = append(rows, []storage.Button{{Label: say.PassName(planned(pass)), Data: tapPass + ":" + string(pass.ID)}})
	}
	return rows
}

package bot

import (
	"cmp"
	"iter"
	"slices"
	"time"

	"skyslate/bot/contact"
	"skyslate/parse"
	"skyslate/storage"
)

// A group is the contacts that belong together, as the plan leaves them: those of
// a pass or, where no pass is known, those of one bird in the hours around a
// moment. It is read once and kept up to date, because a heap asks for each of a
// thousand lines what stands before it.
type group struct {
	belongs func(storage.Contact) bool
	all     []*storage.Contact // by ID
	byCall  map[parse.Callsign][]*storage.Contact
}

// groupKey names a group; since counts where there is no pass.
type groupKey struct {
	pass  storage.PassID
	bird  storage.BirdRef
	since int64 // Unix seconds
}

func byID(c *storage.Contact, id uint64) int { return cmp.Compare(c.ID, id) }

// put takes a contact as it is now: in, anew, or out.
func (g *group) put(c *storage.Contact) {
	if i, in := slices.BinarySearchFunc(g.all, c.ID, byID); in {
		old := g.all[i]
		g.all = slices.Delete(g.all, i, i+1)
		g.byCall[old.Call] = slices.DeleteFunc(g.byCall[old.Call], func(o *storage.Contact) bool { return o.ID == c.ID })
	}
	if g.belongs(*c) {
		g.all = placed(g.all, c)
		g.byCall[c.Call] = placed(g.byCall[c.Call], c)
	}
}

func placed(all []*storage.Contact, c *storage.Contact) []*storage.Contact {
	i, _ := slices.BinarySearchFunc(all, c.ID, byID)
	return slices.Insert(all, i, c)
}

// groupOf is the group of a pass or, without one, of a bird around a moment.
func (p *plan) groupOf(pass storage.PassID, bird storage.BirdRef, at time.Time) *group {
	key := groupKey{pass: pass}
	if pass == "" {
		key = groupKey{bird: bird, since: at.Truncate(contact.LookBack).Add(-contact.LookBack).Unix()}
	}
	if g, ok := p.groups[key]; ok {
		return g
	}
	g := p.readGroup(key)
	if p.groups == nil {
		p.groups = map[groupKey]*group{}
	}
	p.groups[key] = g
	return g
}

func (p *plan) readGroup(key groupKey) *group {
	g := &group{byCall: map[parse.Callsign][]*storage.Contact{}}
	var stored []storage.Contact
	if key.pass != "" {
		g.belongs = func(c storage.Contact) bool { return c.Pass == key.pass }
		stored = list(p, func() ([]storage.Contact, error) { return p.view.ContactsOfPass(p.op.ID, key.pass) })
	} else {
		from := time.Unix(key.since, 0)
		to := from.Add(3 * contact.LookBack)
		g.belongs = func(c storage.Contact) bool {
			return c.Pass == "" && c.Bird == key.bird && !imported(c) && !c.Time.Before(from) && c.Time.Before(to)
		}
		stored = list(p, func() ([]storage.Contact, error) { return p.view.Contacts(p.op.ID, from, to) })
	}
	for _, c := range stored {
		p.stored[c.ID] = c
	}
	for _, c := range p.overlay(stored, g.belongs) {
		g.all = append(g.all, &c)
		g.byCall[c.Call] = append(g.byCall[c.Call], &c)
	}
	return g
}

// contactsOf returns the latest versions of a pass's contacts, by ID.
func (p *plan) contactsOf(id storage.PassID) []storage.Contact {
	if id == "" {
		return nil
	}
	var all []storage.Contact
	for _, c := range p.groupOf(id, storage.BirdRef{}, time.Time{}).all {
		all = append(all, *c)
	}
	return all
}

// workedOn reports whether anything stands under a pass.
func (p *plan) workedOn(pass storage.Pass) bool {
	return pass.ID != "" && len(p.groupOf(pass.ID, storage.BirdRef{}, time.Time{}).all) > 0
}

// sameStation returns the other contacts with the station of a contact that
// belong together with it, by ID.
func (p *plan) sameStation(c storage.Contact) iter.Seq[*storage.Contact] {
	return func(yield func(*storage.Contact) bool) {
		for _, old := range p.groupOf(c.Pass, c.Bird, c.Time).byCall[c.Call] {
			near := c.Pass != "" || old.Time.Sub(c.Time).Abs() < contact.LookBack
			if old.ID != c.ID && near && !yield(old) {
				return
			}
		}
	}
}

// overlay replaces stored contacts by the plan's own versions, adds the new
// ones that belong and leaves out those that no longer do.
func (p *plan) overlay(stored []storage.Contact, belongs func(storage.Contact) bool) []storage.Contact {
	var all []storage.Contact
	for _, c := range stored {
		if _, changed := p.contacts[c.ID]; !changed && belongs(c) {
			all = append(all, c)
		}
	}
	for _, c := range p.contacts {
		if belongs(c) {
			all = append(all, c)
		}
	}
	slices.SortFunc(all, func(a, b storage.Contact) int { return cmp.Compare(a.ID, b.ID) })
	return all
}

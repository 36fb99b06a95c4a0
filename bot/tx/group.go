package tx

import (
	"cmp"
	"slices"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"

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
func (t *Tx) groupOf(pass storage.PassID, bird storage.BirdRef, at time.Time) *group {
	key := groupKey{pass: pass}
	if pass == "" {
		key = groupKey{bird: bird, since: at.Truncate(filing.LookBack).Add(-filing.LookBack).Unix()}
	}
	if g, ok := t.groups[key]; ok {
		return g
	}
	g := t.readGroup(key)
	t.groups[key] = g
	return g
}

func (t *Tx) readGroup(key groupKey) *group {
	g := &group{byCall: map[parse.Callsign][]*storage.Contact{}}
	var stored []storage.Contact
	if key.pass != "" {
		g.belongs = func(c storage.Contact) bool { return c.Pass == key.pass }
		stored = List(t, func() ([]storage.Contact, error) { return t.View.ContactsOfPass(t.Op.ID, key.pass) })
	} else {
		from := time.Unix(key.since, 0)
		to := from.Add(3 * filing.LookBack)
		g.belongs = func(c storage.Contact) bool {
			return c.Pass == "" && c.Bird == key.bird && !Imported(c) && !c.Time.Before(from) && c.Time.Before(to)
		}
		stored = t.ContactsIn(from, to)
	}
	for _, c := range stored {
		t.stored[c.ID] = c
	}
	for _, c := range t.Overlay(stored, g.belongs) {
		g.all = append(g.all, &c)
		g.byCall[c.Call] = append(g.byCall[c.Call], &c)
	}
	return g
}

// ContactsOf returns the latest versions of a pass's contacts, by ID.
func (t *Tx) ContactsOf(id storage.PassID) []storage.Contact {
	if id == "" {
		return nil
	}
	stored := t.groupOf(id, storage.BirdRef{}, time.Time{}).all
	all := make([]storage.Contact, 0, len(stored))
	for _, c := range stored {
		all = append(all, *c)
	}
	return all
}

// WorkedOn reports whether anything stands under a pass.
func (t *Tx) WorkedOn(pass storage.Pass) bool {
	return pass.ID != "" && len(t.groupOf(pass.ID, storage.BirdRef{}, time.Time{}).all) > 0
}

// Waiting are the contacts for which a pass is one of those that are asked about.
func (t *Tx) Waiting(pass storage.Pass) []storage.Contact {
	var all []storage.Contact
	for _, c := range t.groupOf("", storage.BirdRef{}, pass.LOS).all {
		if c.State == storage.Doubtful && slices.Contains(c.Rivals, pass.ID) {
			all = append(all, *c)
		}
	}
	return all
}

// Overlay replaces stored contacts by the plan's own versions, adds the new
// ones that belong and leaves out those that no longer do.
func (t *Tx) Overlay(stored []storage.Contact, belongs func(storage.Contact) bool) []storage.Contact {
	all := make([]storage.Contact, 0, len(stored))
	for _, c := range stored {
		if _, changed := t.Contacts[c.ID]; !changed && belongs(c) {
			all = append(all, c)
		}
	}
	for _, c := range t.Touched() {
		if belongs(c) {
			all = append(all, c)
		}
	}
	slices.SortFunc(all, func(a, b storage.Contact) int { return cmp.Compare(a.ID, b.ID) })
	return all
}

// Ordinal is the contact's number on its pass, without a pass none. It keeps it, whatever
// comes to the pass, or leaves it; contacts from before numbers were kept are counted.
func (t *Tx) Ordinal(c storage.Contact) int {
	if c.Pass == "" {
		return 0
	}
	all := t.groupOf(c.Pass, c.Bird, c.Time).all
	i, in := slices.BinarySearchFunc(all, c.ID, byID)
	switch {
	case !in:
		return 0
	case all[i].Number > 0:
		return all[i].Number
	}
	return len(lists.Filter(all[:i+1], unnumbered))
}

func unnumbered(c *storage.Contact) bool { return c.Number == 0 }

// Numbered is the contact of a number on a pass.
func (t *Tx) Numbered(pass storage.PassID, n int) (storage.Contact, bool) {
	all := t.ContactsOf(pass)
	i := slices.IndexFunc(all, func(c storage.Contact) bool { return t.Ordinal(c) == n })
	if i < 0 {
		return storage.Contact{}, false
	}
	return all[i], true
}

// numberFor is the number that a version of a contact has on its pass: the one that it
// ever had there, or the next.
func (g *group) numberFor(c storage.Contact, history func() []storage.Contact) int {
	if c.Pass == "" {
		return 0
	}
	if i, in := slices.BinarySearchFunc(g.all, c.ID, byID); in {
		return g.all[i].Number
	}
	last := len(lists.Filter(g.all, unnumbered))
	for _, o := range g.all {
		last = max(last, o.Number)
	}
	for _, was := range history() {
		free := !slices.ContainsFunc(g.all, func(o *storage.Contact) bool { return o.Number == was.Number })
		if was.Pass == c.Pass && was.Number > 0 && free {
			return was.Number
		}
	}
	return last + 1
}

// Repeats reports whether the same station gave the same grids earlier on the
// pass.
func (t *Tx) Repeats(c storage.Contact) bool {
	return slices.ContainsFunc(t.groupOf(c.Pass, c.Bird, c.Time).byCall[c.Call], func(old *storage.Contact) bool {
		near := c.Pass != "" || old.Time.Sub(c.Time).Abs() < filing.LookBack
		return near && old.ID < c.ID && old.Exported() && c.Exported() && slices.Equal(old.Grids, c.Grids)
	})
}

// CauseImport is the cause of what came of a document.
const CauseImport = "import"

// Imported reports whether a contact came of a document and was not worked on
// since: it belongs to no pass and waits for none.
func Imported(c storage.Contact) bool { return c.Cause.Kind == CauseImport }

// Echoed says how a contact was taken: with its bird where that isn't the only one on the card,
// with its date where that isn't the day it was sent. At is when a line changed it, zero if
// none did: then its pass is said, where that wasn't on the card at that moment.
func (t *Tx) Echoed(c storage.Contact, at time.Time) string {
	view := shown.Contact(c)
	view.Number, view.Again = t.Ordinal(c), t.Repeats(c)
	sent := c.Time
	if m, ok := t.MessageOf(c.Message); ok {
		sent = m.At
	}
	isOff := func(at time.Time) bool {
		passes := t.StoredIn(at.Add(-filing.LookBack), at.Add(filing.EarlySlack))
		up := lists.Filter(passes, func(pass storage.Pass) bool { return pass.Followed() && pass.Up(at) })
		return c.Pass == "" || c.Pass != lastCard(passes, at) || len(up) > 1
	}
	view.OffCard = isOff(sent)
	if view.Corrected = !at.IsZero(); view.Corrected {
		if pass, ok := t.Pass(c.Pass); ok && isOff(at) {
			view.On, view.OffCard = say.PassName(shown.Planned(pass)), false
		}
	}
	view.Dated = c.Time.UTC().Format(time.DateOnly) != sent.UTC().Format(time.DateOnly)
	return say.Echo(view)
}

// lastCard is the followed pass, of some, whose card was the last to go up at a moment.
func lastCard(passes []storage.Pass, at time.Time) storage.PassID {
	var last storage.Pass
	for _, pass := range passes {
		if pass.Followed() && !pass.AOS.After(at.Add(filing.EarlySlack)) && pass.AOS.After(last.AOS) {
			last = pass
		}
	}
	return last.ID
}

package storage_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/parse"
	"skyslate/storage"
)

// model is the store as plain maps and lists.
type model struct {
	t     *testing.T
	dir   string
	store *storage.Store

	inbox    []storage.Raw
	seen     map[string]bool
	kept     map[string]string
	ops      map[storage.OperatorID]storage.Operator
	contacts map[storage.OperatorID]map[uint64][]storage.Contact
	passes   map[storage.OperatorID]map[storage.PassID]storage.Pass
	handed   map[storage.OperatorID]map[uint64]int
	agenda   map[string]storage.Item
	queue    []storage.Post
	out      map[storage.OperatorID]map[int64]storage.Post
	nextApp  int64
	events   int
}

func newModel(t *testing.T, dir string) *model {
	return &model{
		t: t, dir: dir, store: open(t, dir), nextApp: 1,
		seen: map[string]bool{}, kept: map[string]string{},
		ops:      map[storage.OperatorID]storage.Operator{},
		contacts: map[storage.OperatorID]map[uint64][]storage.Contact{op: {}, other: {}},
		passes:   map[storage.OperatorID]map[storage.PassID]storage.Pass{op: {}, other: {}},
		handed:   map[storage.OperatorID]map[uint64]int{op: {}, other: {}},
		agenda:   map[string]storage.Item{},
		out:      map[storage.OperatorID]map[int64]storage.Post{op: {}, other: {}},
	}
}

func anyOperator(r *rapid.T) storage.OperatorID {
	return rapid.SampledFrom([]storage.OperatorID{op, other}).Draw(r, "operator")
}

func anyTime(r *rapid.T) time.Time {
	return t0.Add(time.Duration(rapid.IntRange(-600, 600).Draw(r, "minutes")) * time.Minute)
}

// accept: some of the IDs come twice.
func (m *model) accept(r *rapid.T) {
	var raws []storage.Raw
	for range rapid.IntRange(0, 3).Draw(r, "arrivals") {
		raws = append(raws, storage.Raw{ID: fmt.Sprint("m", rapid.IntRange(0, 30).Draw(r, "id")), At: anyTime(r), Body: []byte("x")})
	}
	value := rapid.StringN(1, 5, -1).Draw(r, "value")
	if err := m.store.Accept(map[string][]byte{"offset": []byte(value)}, raws...); err != nil {
		r.Fatal(err)
	}
	m.kept["offset"] = value
	for _, raw := range raws {
		known := slices.ContainsFunc(m.inbox, func(x storage.Raw) bool { return x.ID == raw.ID })
		if !known && !m.seen[raw.ID] {
			m.inbox = append(m.inbox, raw)
		}
	}
}

// event is the head of the inbox, a moment on the agenda, or something new.
func (m *model) event(r *rapid.T) string {
	var choices []string
	if len(m.inbox) > 0 {
		choices = append(choices, m.inbox[0].ID)
	}
	choices = append(choices, slices.Sorted(maps.Keys(m.agenda))...)
	m.events++
	return rapid.SampledFrom(append(choices, fmt.Sprint("new", m.events))).Draw(r, "event")
}

func (m *model) commit(r *rapid.T) {
	id := anyOperator(r)
	c := storage.Changes{Operator: &storage.Operator{ID: id, Joined: t0, Call: mine, Heard: anyTime(r)}}
	if rapid.Bool().Draw(r, "pass") {
		p := pass(id, anyTime(r), time.Duration(rapid.IntRange(1, 30).Draw(r, "long"))*time.Minute)
		p.ID = storage.PassID(fmt.Sprint("p", rapid.IntRange(0, 5).Draw(r, "pass number")))
		c.Passes = append(c.Passes, p)
	}
	versions := map[uint64]int{}
	for range rapid.IntRange(0, 3).Draw(r, "contacts") {
		c.Contacts = append(c.Contacts, m.newVersion(r, id, c.Passes, versions))
	}
	if rapid.Bool().Draw(r, "item") {
		c.Agenda = append(c.Agenda, storage.Item{Key: fmt.Sprint("k", rapid.IntRange(0, 4).Draw(r, "key")), At: anyTime(r), Operator: id})
	}
	if rapid.Bool().Draw(r, "cancel") {
		c.Cancel = append(c.Cancel, fmt.Sprint("k", rapid.IntRange(0, 4).Draw(r, "cancelled")))
	}
	if rapid.Bool().Draw(r, "post") {
		c.Posts = append(c.Posts, m.newPost(r, id))
	}
	event := m.event(r)
	for range rapid.IntRange(1, 2).Draw(r, "times") { // a second time changes nothing
		if err := m.store.Commit(event, t0, c); err != nil {
			r.Fatal(err)
		}
		m.apply(event, c)
		if _, again := m.agenda[event]; again {
			break // it is an event anew: not a repeat
		}
	}
}

func (m *model) newVersion(r *rapid.T, id storage.OperatorID, fresh []storage.Pass, versions map[uint64]int) storage.Contact {
	n := rapid.Uint64Range(1, 6).Draw(r, "contact")
	if versions[n] == 0 {
		versions[n] = len(m.contacts[id][n])
	}
	versions[n]++
	c := contact(id, n, versions[n], rapid.SampledFrom([]string{"", "OX9QZU", "OX9QZV"}).Draw(r, "call"))
	c.Time = anyTime(r)
	passes := slices.Sorted(maps.Keys(m.passes[id]))
	for _, p := range fresh {
		passes = append(passes, p.ID)
	}
	c.Pass = rapid.SampledFrom(append(passes, "")).Draw(r, "pass of contact")
	return c
}

func (m *model) newPost(r *rapid.T, id storage.OperatorID) storage.Post {
	p := storage.Post{Name: string(id) + fmt.Sprint("/p", rapid.IntRange(0, 4).Draw(r, "post name")), Operator: id, Op: storage.Send}
	p.Text = rapid.StringN(0, 4, -1).Draw(r, "text")
	if rapid.Bool().Draw(r, "file") {
		p.Op = storage.File
		p.Recipe = &storage.Recipe{Kind: "adif"}
		for _, n := range slices.Sorted(maps.Keys(m.contacts[id])) {
			if n%2 == 0 {
				p.Recipe.Contacts = append(p.Recipe.Contacts, storage.ContactRef{ID: n, Version: len(m.contacts[id][n])})
			}
		}
	}
	return p
}

func (m *model) apply(event string, c storage.Changes) {
	_, planned := m.agenda[event]
	if m.seen[event] && !planned {
		return
	}
	m.seen[event] = true
	m.inbox = slices.DeleteFunc(m.inbox, func(x storage.Raw) bool { return x.ID == event })
	delete(m.agenda, event)
	m.ops[c.Operator.ID] = *c.Operator
	for _, p := range c.Passes {
		m.passes[p.Operator][p.ID] = p
	}
	for _, x := range c.Contacts {
		m.contacts[x.Operator][x.ID] = append(m.contacts[x.Operator][x.ID], x)
	}
	for _, k := range c.Cancel {
		delete(m.agenda, k)
	}
	for _, i := range c.Agenda {
		m.agenda[i.Key] = i
	}
	for _, p := range c.Posts {
		i := slices.IndexFunc(m.queue, func(q storage.Post) bool { return q.Name == p.Name })
		if i < 0 {
			m.queue = append(m.queue, p)
		} else {
			m.queue[i] = p
		}
	}
}

// settle sends some post, not always the oldest: each chat has a lane.
func (m *model) settle(r *rapid.T) {
	if _, err := m.store.Owed(t0); err != nil {
		r.Fatal(err)
	}
	if len(m.queue) == 0 {
		return
	}
	i := rapid.IntRange(0, len(m.queue)-1).Draw(r, "which")
	p := m.queue[i]
	m.queue = slices.Delete(m.queue, i, i+1)
	if rapid.Bool().Draw(r, "dropped") {
		if err := m.store.Drop(p.Name, "closed", t0); err != nil {
			r.Fatal(err)
		}
		return
	}
	p.AppID, p.SentAt = m.nextApp, t0
	m.nextApp++
	if err := m.store.Settle(p.Name, fmt.Sprint(p.AppID), t0); err != nil {
		r.Fatal(err)
	}
	m.out[p.Operator][p.AppID] = p
	if p.Recipe != nil {
		for _, ref := range p.Recipe.Contacts {
			m.handed[p.Operator][ref.ID] = max(m.handed[p.Operator][ref.ID], ref.Version)
		}
	}
}

func (m *model) setAside(r *rapid.T) {
	if len(m.inbox) == 0 {
		return
	}
	if err := m.store.SetAside(m.inbox[0].ID, "no sense", t0); err != nil {
		r.Fatal(err)
	}
	m.seen[m.inbox[0].ID] = true
	m.inbox = m.inbox[1:]
}

func (m *model) reopen(r *rapid.T) {
	if err := m.store.Close(); err != nil {
		r.Fatal(err)
	}
	if _, err := storage.Verify(m.dir); err != nil {
		r.Fatal(err)
	}
	m.store = open(m.t, m.dir)
	if ns := m.store.Notices(); len(ns) > 0 {
		r.Fatalf("a sound store gave notices: %q", ns)
	}
}

// check compares everything that can be asked.
func (m *model) check(r *rapid.T) {
	head, ok, err := m.store.Oldest()
	if err != nil || ok != (len(m.inbox) > 0) || (ok && head.ID != m.inbox[0].ID) {
		r.Fatalf("head of the inbox: %v %v %v, want %v", head.ID, ok, err, m.inbox)
	}
	kept, err := m.store.Kept("offset")
	if err != nil || string(kept) != m.kept["offset"] {
		r.Fatalf("kept: %q %v", kept, err)
	}
	due, err := m.store.Due(t0.Add(1000*time.Hour), 1000)
	equal(r, "agenda", due, sortedItems(m.agenda), err)
	owed, err := m.store.Owed(t0)
	equal(r, "owed", owed, m.queue, err)
	err = m.store.View(func(v *storage.View) error {
		ops, err := v.Operators()
		equal(r, "operators", len(ops), len(m.ops), err)
		for _, id := range []storage.OperatorID{op, other} {
			m.checkContacts(r, v, id)
			m.checkPasses(r, v, id)
			for app, want := range m.out[id] {
				got, _, err := v.PostByApp(id, app)
				got.Name = want.Name // it has another one if that was used again
				equal(r, "post that is out", got, want, err)
			}
		}
		return nil
	})
	if err != nil {
		r.Fatal(err)
	}
}

func (m *model) checkContacts(r *rapid.T, v *storage.View, id storage.OperatorID) {
	byPass, byCall := map[storage.PassID][]storage.Contact{}, map[parse.Callsign][]storage.Contact{}
	var byTime []storage.Contact
	from, to := t0.Add(-200*time.Minute), t0.Add(200*time.Minute)
	for _, n := range slices.Sorted(maps.Keys(m.contacts[id])) {
		vs := m.contacts[id][n]
		latest := vs[len(vs)-1]
		byPass[latest.Pass] = append(byPass[latest.Pass], latest)
		byCall[latest.Call] = append(byCall[latest.Call], latest)
		if !latest.Time.Before(from) && latest.Time.Before(to) {
			byTime = append(byTime, latest)
		}
		got, err := v.History(id, n)
		equal(r, "history", got, vs, err)
		version, _ := v.HandedOver(id, n)
		equal(r, "handed over", version, m.handed[id][n], nil)
	}
	for p, want := range byPass {
		got, err := v.ContactsOfPass(id, p)
		equal(r, "contacts of pass "+string(p), got, want, err)
	}
	for _, call := range []string{"OX9QZU", "OX9QZV"} {
		c := parse.MustParseCallsign(call)
		got, err := v.ContactsOfCall(id, c)
		equal(r, "contacts of "+call, got, byCall[c], err)
	}
	slices.SortStableFunc(byTime, func(a, b storage.Contact) int { return a.Time.Compare(b.Time) })
	got, err := v.Contacts(id, from, to)
	equal(r, "contacts by time", got, byTime, err)
}

func (m *model) checkPasses(r *rapid.T, v *storage.View, id storage.OperatorID) {
	from, to := t0.Add(-100*time.Minute), t0.Add(100*time.Minute)
	var want []storage.Pass
	for _, p := range m.passes[id] {
		if p.AOS.Before(to) && p.LOS.After(from) {
			want = append(want, p)
		}
	}
	slices.SortFunc(want, func(a, b storage.Pass) int {
		if c := a.AOS.Compare(b.AOS); c != 0 {
			return c
		}
		return strings.Compare(string(a.ID), string(b.ID))
	})
	got, err := v.Passes(id, from, to)
	equal(r, "passes", got, want, err)
}

func sortedItems(agenda map[string]storage.Item) []storage.Item {
	return slices.SortedFunc(maps.Values(agenda), func(a, b storage.Item) int {
		if c := a.At.Compare(b.At); c != 0 {
			return c
		}
		return strings.Compare(a.Key, b.Key)
	})
}

// equal compares as JSON, where an instant is an instant.
func equal(r *rapid.T, what string, got, want any, err error) {
	show := func(v any) string {
		text, err := json.Marshal(v)
		if err != nil {
			r.Fatal(err)
		}
		if string(text) == "null" {
			return "[]" // an empty list
		}
		return string(text)
	}
	if err != nil || show(got) != show(want) {
		r.Fatalf("%s: %v\n got %s\nwant %s", what, err, show(got), show(want))
	}
}

// TestHistories runs random histories against the model; after every step both
// must say the same. A failure prints the seed and a short history.
func TestHistories(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		m := newModel(t, t.TempDir())
		defer func() {
			if err := m.store.Close(); err != nil {
				r.Error(err)
			}
			if _, err := storage.Verify(m.dir); err != nil {
				r.Error(err)
			}
		}()
		r.Repeat(map[string]func(*rapid.T){
			"accept": m.accept, "commit": m.commit, "commit more": m.commit,
			"settle": m.settle, "set aside": m.setAside, "reopen": m.reopen,
			"": m.check,
		})
	})
}

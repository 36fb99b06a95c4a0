package storage

import (
	"cmp"
	"container/heap"
	"maps"
	"slices"
	"sync"
	"time"
)

// pending holds the events of the inbox and the posts of the outbox in memory, in
// the order of their turns: to find the next costs the same however many there
// are, and no transaction has to search. It is learnt by one scan at an opening
// and follows the transactions that succeed. It holds nothing of an operator for
// whom no event waits and who is owed no post.
type pending struct {
	mu sync.Mutex
	// The numbers of events in the inbox by operator, and the operators in the
	// order of their turns.
	waiting map[OperatorID][]uint64
	turns   []OperatorID

	owed   map[string]*owing // by name
	places map[place]string  // the names of owed edits and reactions
	lanes  map[OperatorID]*lane
	ready  ready
	// handed are the owed posts as they were last handed out: a post may be
	// replaced before it is settled, and then the older content is out.
	handed    map[string]outPost
	operators int // how many there are
}

// owing is an owed post without its content.
type owing struct {
	name     string
	operator OperatorID
	class    Class
	due      time.Time
	notAfter time.Time
	seq      uint64
	place    place
}

// place is the post or the message that an edit or a reaction changes: of several
// to the same place the newest alone is owed.
type place struct {
	operator OperatorID
	op       Op
	target   string
	message  int64
}

// placeOf is the place that a post changes, the zero one for posts that stand for
// themselves.
func placeOf(p Post) place {
	switch p.Op {
	case Edit:
		return place{p.Operator, Edit, p.Target, 0}
	case React:
		return place{p.Operator, React, "", p.ReplyTo}
	}
	return place{}
}

// The order of sending, for all that is owed: answers first, because somebody
// waits for them, and questions to who has just written last of these, because the
// next line may answer them; then reminders by AOS, the only posts that are
// worthless soon; then other questions, which can be answered later; then cards
// and pictures, of which a newer one takes the place of an older one that isn't
// out. Within a class the older goes first. An edit never overtakes its post: that
// is out before the edit is owed, or else takes the edit into itself.
var sendingOrder = []Class{ClassAnswer, ClassAsk, ClassReminder, ClassQuestion, ClassCard}

func (c Class) rank() int { return slices.Index(sendingOrder, c) }

func inOrder(a, b *owing) int {
	return cmp.Or(cmp.Compare(a.class.rank(), b.class.rank()), a.due.Compare(b.due), cmp.Compare(a.seq, b.seq))
}

// lane are the posts owed to an operator, in the order of sending.
type lane struct {
	operator OperatorID
	posts    []*owing
	taken    string // the post that is handed out: none other is until it is released
	at       int    // its place in ready; -1: not there
}

// ready are the lanes from which a post may be taken, as a heap.
type ready []*lane

func (r ready) Len() int           { return len(r) }
func (r ready) Less(i, j int) bool { return inOrder(r[i].posts[0], r[j].posts[0]) < 0 }
func (r ready) Swap(i, j int)      { r[i], r[j] = r[j], r[i]; r[i].at, r[j].at = i, j }

// Push is heap.Interface's.
func (r *ready) Push(x any) { x.(*lane).at = len(*r); *r = append(*r, x.(*lane)) }

// Pop is heap.Interface's.
func (r *ready) Pop() any {
	last := len(*r) - 1
	l := (*r)[last]
	l.at, *r = -1, (*r)[:last]
	return l
}

// news are the changes that a transaction makes to pending, once it has succeeded.
type news struct {
	pending   *pending
	posts     map[string]outPost // as they are after it
	arrived   []arrival
	gone      []arrival
	operators int
}

// arrival is something in the inbox.
type arrival struct {
	operator OperatorID
	number   uint64
}

// post notes a post as the transaction leaves it.
func (n *news) post(p outPost) {
	if n.posts == nil {
		n.posts = map[string]outPost{}
	}
	n.posts[p.Name] = p
}

// owedAt is the name of the post that is owed for the same place.
func (n *news) owedAt(p Post) (name string, found bool) {
	at := placeOf(p)
	if at == (place{}) {
		return "", false
	}
	for name, other := range n.posts {
		if other.owed() && placeOf(other.Post) == at {
			return name, true
		}
	}
	if n.pending == nil {
		return "", false
	}
	n.pending.mu.Lock()
	defer n.pending.mu.Unlock()
	name, found = n.pending.places[at]
	_, changed := n.posts[name]
	return name, found && !changed
}

// learn makes pending anew from the database.
func (s *Store) learn() error {
	var n news
	err := s.read(func(t *tx) {
		for k, r := range scan[Raw](t.in(inInbox), nil) {
			n.arrived = append(n.arrived, arrival{r.From, lastUint(k)})
		}
		for _, name := range scan[string](t.in(inOwed), nil) {
			if p, known := t.post(name); known {
				n.post(p)
			} else {
				s.notice("the owed post %q is missing", name)
			}
		}
		for range t.in(inOperators).Up(nil, nil) {
			n.operators++
		}
	})
	s.pending.forget()
	s.pending.take(n)
	return err
}

// forget empties pending; the posts on their way stay handed out.
func (p *pending) forget() {
	p.mu.Lock()
	defer p.mu.Unlock()
	old := p.lanes
	p.waiting, p.turns = map[OperatorID][]uint64{}, nil
	p.owed, p.places, p.lanes = map[string]*owing{}, map[place]string{}, map[OperatorID]*lane{}
	p.ready, p.operators = nil, 0
	for op, l := range old {
		if l.taken != "" {
			p.lanes[op] = &lane{operator: op, taken: l.taken, at: -1}
		}
	}
	if p.handed == nil {
		p.handed = map[string]outPost{}
	}
}

// take makes the news of a transaction hold.
func (p *pending) take(n news) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.operators += n.operators
	for _, a := range n.arrived {
		p.arrive(a)
	}
	for _, a := range n.gone {
		p.leave(a)
	}
	for name, post := range n.posts {
		p.pay(name)
		if !post.owed() {
			delete(p.handed, name)
		}
	}
	for _, post := range n.posts {
		if post.owed() {
			p.owe(post)
		}
	}
}

func (p *pending) arrive(a arrival) {
	if len(p.waiting[a.operator]) == 0 {
		p.turns = append(p.turns, a.operator)
	}
	p.waiting[a.operator] = append(p.waiting[a.operator], a.number)
}

// leave takes something out of the inbox: it was its operator's turn, and the
// next is after all others'.
func (p *pending) leave(a arrival) {
	left := slices.DeleteFunc(p.waiting[a.operator], func(n uint64) bool { return n == a.number })
	if i := slices.Index(p.turns, a.operator); i >= 0 {
		p.turns = slices.Delete(p.turns, i, i+1)
	}
	if len(left) == 0 {
		delete(p.waiting, a.operator)
		return
	}
	p.waiting[a.operator] = left
	p.turns = append(p.turns, a.operator)
}

// oldest is the number of the event to be worked next. Events of which nobody knows
// whose they are come first: they may be older than an operator's others.
func (p *pending) oldest() (number uint64, ok bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if numbers := p.waiting[""]; len(numbers) > 0 {
		return numbers[0], true
	}
	if len(p.turns) == 0 {
		return 0, false
	}
	return p.waiting[p.turns[0]][0], true
}

func (p *pending) owe(post outPost) {
	o := &owing{
		post.Name, post.Operator, post.Class, post.Due, post.NotAfter, post.Seq, placeOf(post.Post),
	}
	p.owed[o.name] = o
	if o.place != (place{}) {
		p.places[o.place] = o.name
	}
	l := p.lanes[o.operator]
	if l == nil {
		l = &lane{operator: o.operator, at: -1}
		p.lanes[o.operator] = l
	}
	i, _ := slices.BinarySearchFunc(l.posts, o, inOrder)
	l.posts = slices.Insert(l.posts, i, o)
	p.sort(l)
}

// pay takes a post off the posts that are owed.
func (p *pending) pay(name string) {
	o := p.owed[name]
	if o == nil {
		return
	}
	delete(p.owed, name)
	if p.places[o.place] == name {
		delete(p.places, o.place)
	}
	l := p.lanes[o.operator]
	l.posts = slices.DeleteFunc(l.posts, func(other *owing) bool { return other == o })
	p.sort(l)
}

// sort gives a lane its place among those that are ready, or none.
func (p *pending) sort(l *lane) {
	idle := len(l.posts) == 0 || l.taken != ""
	switch {
	case idle && l.at >= 0:
		heap.Remove(&p.ready, l.at)
	case !idle && l.at >= 0:
		heap.Fix(&p.ready, l.at)
	case !idle:
		heap.Push(&p.ready, l)
	}
	if len(l.posts) == 0 && l.taken == "" {
		delete(p.lanes, l.operator)
	}
}

// next is the name of the post that is to go out next, and whether that would be
// too late by now.
func (p *pending) next(now time.Time) (name string, late, ok bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.ready) == 0 {
		return "", false, false
	}
	first := p.ready[0].posts[0]
	return first.name, first.late(now), true
}

func (o *owing) late(now time.Time) bool { return !o.notAfter.IsZero() && now.After(o.notAfter) }

// handOut notes the post that goes out; with hold its operator's others wait until
// they are released. False: it was forgotten this moment.
func (p *pending) handOut(post outPost, hold bool) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	l := p.lanes[post.Operator]
	switch {
	case l == nil:
		return false
	case l.taken == post.Name && !hold:
		return true // its content on the way is the older one
	}
	p.handed[post.Name] = post
	if hold {
		l.taken = post.Name
		p.sort(l)
	}
	return true
}

func (p *pending) release(op OperatorID) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if l := p.lanes[op]; l != nil {
		l.taken = ""
		p.sort(l)
	}
}

// late are the names of the owed posts that would come too late, but for those on
// their way.
func (p *pending) late(now time.Time) (names []string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for name, o := range p.owed {
		if o.late(now) && p.lanes[o.operator].taken != name {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// all are the names of the owed posts, in the order of sending.
func (p *pending) all() (names []string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, o := range slices.SortedFunc(maps.Values(p.owed), inOrder) {
		names = append(names, o.name)
	}
	return names
}

// OwesTo reports whether anything is owed to an operator, or on its way.
func (s *Store) OwesTo(op OperatorID) bool {
	s.pending.mu.Lock()
	defer s.pending.mu.Unlock()
	return s.pending.lanes[op] != nil
}

// OwedOf is how many posts of a class are owed.
func (s *Store) OwedOf(class Class) (n int) {
	s.pending.mu.Lock()
	defer s.pending.mu.Unlock()
	for _, o := range s.pending.owed {
		if o.class == class {
			n++
		}
	}
	return n
}

func (p *pending) lastHanded(name string) (post outPost, handed bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	post, handed = p.handed[name]
	return post, handed
}

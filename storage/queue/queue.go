// Package queue knows in memory, in the order of their turns, the events that wait and
// the posts that are owed: to find the next costs the same however many there are, and
// no transaction has to search. What they are is stored elsewhere; the queue is learnt
// by one scan at an opening and follows the transactions that succeed (News). It holds
// nothing of an operator for whom no event waits and who is owed no post.
//
// Operators take turns with their events. Of posts the lowest rank goes out first,
// within a rank the one that is due first, and of each operator one at a time.
package queue

import (
	"cmp"
	"container/heap"
	"maps"
	"slices"
	"sync"
	"time"
)

// Queue is the queue; C is the content of a post that is handed out. It has to learn
// before it takes anything. Its methods may be called from several goroutines.
type Queue[C any] struct {
	mu sync.Mutex
	// The numbers of events in the inbox by operator, and the operators in the
	// order of their turns.
	waiting map[string][]uint64
	turns   []string

	owed   map[string]*Post // by name
	places map[Place]string // the names of owed edits and reactions
	lanes  map[string]*lane
	ready  ready
	// handed are the owed posts as they were last handed out: a post may be
	// replaced before it is settled, and then the older content is out.
	handed map[string]C
}

// Post is a post without its content.
type Post struct {
	Name     string
	Operator string
	Rank     int
	Due      time.Time
	NotAfter time.Time // zero: it is never too late
	Seq      uint64    // the order of owing; 0: it is not owed any more
	Place    Place     // the zero one: it stands for itself
}

func (p Post) owed() bool { return p.Seq != 0 }

func (p Post) late(now time.Time) bool { return !p.NotAfter.IsZero() && now.After(p.NotAfter) }

// Place is the post or the message that an edit or a reaction changes: of several
// to the same place the newest alone is owed.
type Place struct {
	Operator string
	Op       string
	Target   string
	Message  int64
}

func inOrder(a, b *Post) int {
	return cmp.Or(cmp.Compare(a.Rank, b.Rank), a.Due.Compare(b.Due), cmp.Compare(a.Seq, b.Seq))
}

// lane are the posts owed to an operator, in the order of sending.
type lane struct {
	operator string
	posts    []*Post
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

// News are the changes that a transaction makes, once it has succeeded.
type News struct {
	posts         map[string]Post // as they are after it
	arrived, gone []event
}

// event is something that waits.
type event struct {
	operator string
	number   uint64
}

// Arrive notes an event that waits from now on; numbers grow. An operator that is
// empty is one whom nobody knows.
func (n *News) Arrive(operator string, number uint64) {
	n.arrived = append(n.arrived, event{operator, number})
}

// Leave notes an event that waits no more.
func (n *News) Leave(operator string, number uint64) {
	n.gone = append(n.gone, event{operator, number})
}

// Post notes a post as the transaction leaves it.
func (n *News) Post(p Post) {
	if n.posts == nil {
		n.posts = map[string]Post{}
	}
	n.posts[p.Name] = p
}

// OwedAt is the name of the post that is owed for a place once the news hold.
func (q *Queue[C]) OwedAt(at Place, n News) (name string, found bool) {
	if at == (Place{}) {
		return "", false
	}
	for name, p := range n.posts {
		if p.owed() && p.Place == at {
			return name, true
		}
	}
	q.mu.Lock()
	defer q.mu.Unlock()
	name, found = q.places[at]
	_, changed := n.posts[name]
	return name, found && !changed
}

// Learn makes the queue anew of news about everything; the posts on their way stay
// handed out.
func (q *Queue[C]) Learn(n News) {
	q.mu.Lock()
	defer q.mu.Unlock()
	old := q.lanes
	q.waiting, q.turns = map[string][]uint64{}, nil
	q.owed, q.places, q.lanes, q.ready = map[string]*Post{}, map[Place]string{}, map[string]*lane{}, nil
	for op, l := range old {
		if l.taken != "" {
			q.lanes[op] = &lane{operator: op, taken: l.taken, at: -1}
		}
	}
	if q.handed == nil {
		q.handed = map[string]C{}
	}
	q.take(n)
}

// Take makes the news of a transaction hold.
func (q *Queue[C]) Take(n News) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.take(n)
}

func (q *Queue[C]) take(n News) {
	for _, a := range n.arrived {
		q.arrive(a)
	}
	for _, a := range n.gone {
		q.leave(a)
	}
	for name, post := range n.posts {
		q.pay(name)
		if !post.owed() {
			delete(q.handed, name)
		}
	}
	for _, post := range n.posts {
		if post.owed() {
			q.owe(&post)
		}
	}
}

func (q *Queue[C]) arrive(a event) {
	if len(q.waiting[a.operator]) == 0 {
		q.turns = append(q.turns, a.operator)
	}
	q.waiting[a.operator] = append(q.waiting[a.operator], a.number)
}

// leave takes something out of the inbox: it was its operator's turn, and the
// Next is after all others'.
func (q *Queue[C]) leave(a event) {
	left := slices.DeleteFunc(q.waiting[a.operator], func(n uint64) bool { return n == a.number })
	if i := slices.Index(q.turns, a.operator); i >= 0 {
		q.turns = slices.Delete(q.turns, i, i+1)
	}
	if len(left) == 0 {
		delete(q.waiting, a.operator)
		return
	}
	q.waiting[a.operator] = left
	q.turns = append(q.turns, a.operator)
}

// Oldest is the number of the event to be worked next. Events of which nobody knows
// whose they are come first: they may be older than an operator's others.
func (q *Queue[C]) Oldest() (number uint64, ok bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if numbers := q.waiting[""]; len(numbers) > 0 {
		return numbers[0], true
	}
	if len(q.turns) == 0 {
		return 0, false
	}
	return q.waiting[q.turns[0]][0], true
}

func (q *Queue[C]) owe(p *Post) {
	q.owed[p.Name] = p
	if p.Place != (Place{}) {
		q.places[p.Place] = p.Name
	}
	l := q.lanes[p.Operator]
	if l == nil {
		l = &lane{operator: p.Operator, at: -1}
		q.lanes[p.Operator] = l
	}
	i, _ := slices.BinarySearchFunc(l.posts, p, inOrder)
	l.posts = slices.Insert(l.posts, i, p)
	q.sort(l)
}

// pay takes a post off the posts that are owed.
func (q *Queue[C]) pay(name string) {
	p := q.owed[name]
	if p == nil {
		return
	}
	delete(q.owed, name)
	if q.places[p.Place] == name {
		delete(q.places, p.Place)
	}
	l := q.lanes[p.Operator]
	l.posts = slices.DeleteFunc(l.posts, func(other *Post) bool { return other == p })
	q.sort(l)
}

// sort gives a lane its place among those that are ready, or none.
func (q *Queue[C]) sort(l *lane) {
	idle := len(l.posts) == 0 || l.taken != ""
	switch {
	case idle && l.at >= 0:
		heap.Remove(&q.ready, l.at)
	case !idle && l.at >= 0:
		heap.Fix(&q.ready, l.at)
	case !idle:
		heap.Push(&q.ready, l)
	}
	if len(l.posts) == 0 && l.taken == "" {
		delete(q.lanes, l.operator)
	}
}

// Next is the name of the post that is to go out next, and whether that would be
// too late by now.
func (q *Queue[C]) Next(now time.Time) (name string, late, ok bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.ready) == 0 {
		return "", false, false
	}
	first := q.ready[0].posts[0]
	return first.Name, first.late(now), true
}

// HandOut notes the content of the post that goes out to an operator; with hold their
// others wait until they are released. False: it was forgotten this moment.
func (q *Queue[C]) HandOut(operator, name string, content C, hold bool) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	l := q.lanes[operator]
	switch {
	case l == nil:
		return false
	case l.taken == name && !hold:
		return true // its content on the way is the older one
	}
	q.handed[name] = content
	if hold {
		l.taken = name
		q.sort(l)
	}
	return true
}

// Release says that nothing is going out to an operator any more.
func (q *Queue[C]) Release(operator string) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if l := q.lanes[operator]; l != nil {
		l.taken = ""
		q.sort(l)
	}
}

// Late are the names of the owed posts that would come too late, but for those on
// their way.
func (q *Queue[C]) Late(now time.Time) (names []string) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for name, p := range q.owed {
		if p.late(now) && q.lanes[p.Operator].taken != name {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// All are the names of the owed posts, in the order of sending.
func (q *Queue[C]) All() (names []string) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, p := range slices.SortedFunc(maps.Values(q.owed), inOrder) {
		names = append(names, p.Name)
	}
	return names
}

// OwesTo reports whether anything is owed to an operator, or on its way.
func (q *Queue[C]) OwesTo(operator string) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.lanes[operator] != nil
}

// OwedOf is how many posts of a rank are owed.
func (q *Queue[C]) OwedOf(rank int) (n int) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, p := range q.owed {
		if p.Rank == rank {
			n++
		}
	}
	return n
}

// Count is how many events wait and how many posts are owed.
func (q *Queue[C]) Count() (waiting, owed int) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, numbers := range q.waiting {
		waiting += len(numbers)
	}
	return waiting, len(q.owed)
}

// LastHanded is the content of an owed post as it was last handed out.
func (q *Queue[C]) LastHanded(name string) (content C, handed bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	content, handed = q.handed[name]
	return content, handed
}

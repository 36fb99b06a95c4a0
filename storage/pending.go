package storage

import (
	"slices"
	"time"

	"skyslate/storage/keys"
	"skyslate/storage/queue"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// The order of sending, for all that is owed: answers first, because somebody
// waits for them, and questions to who has just written last of these, because the
// next line may answer them; then reminders by AOS, the only posts that are
// worthless soon; then other questions, which can be answered later; then cards
// and pictures, of which a newer one takes the place of an older one that isn't
// out. Within a class the older goes first. An edit never overtakes its post: that
// is out before the edit is owed, or else takes the edit into itself.
var sendingOrder = []Class{ClassAnswer, ClassAsk, ClassReminder, ClassQuestion, ClassCard}

func (c Class) rank() int { return slices.Index(sendingOrder, c) }

// placeOf is the place that a post changes, the zero one for posts that stand for
// themselves.
func placeOf(p Post) queue.Place {
	switch p.Op {
	case Edit:
		return queue.Place{Operator: string(p.Operator), Op: string(Edit), Target: p.Target}
	case React:
		return queue.Place{Operator: string(p.Operator), Op: string(React), Message: p.ReplyTo}
	}
	return queue.Place{}
}

// queued is the post without its content.
func (p outPost) queued() queue.Post {
	return queue.Post{
		Name: p.Name, Operator: string(p.Operator), Rank: p.Class.rank(), Due: p.Due, NotAfter: p.NotAfter,
		Seq: p.Seq, Place: placeOf(p.Post),
	}
}

// owedAt is the name of the post that is owed for the same place as another.
func (t *tx) owedAt(p Post) (name string, found bool) { return t.pending.OwedAt(placeOf(p), t.news) }

// learn makes what is pending, and how many operators there are, known anew from the
// database.
func (s *Store) learn() error {
	var n queue.News
	operators := 0
	err := s.read(func(t *tx) {
		for k, r := range table.Scan[Raw](t.In(schema.Inbox), nil) {
			n.Arrive(r.queue(), keys.UintOf(k))
		}
		for _, name := range table.Scan[string](t.In(schema.Owed), nil) {
			if p, known := t.post(name); known {
				n.Post(p.queued())
			} else {
				s.notice("the owed post %q is missing", name)
			}
		}
		operators = t.Count(schema.Operators)
	})
	s.operators.Store(int64(operators))
	s.pending.Learn(n)
	return err
}

// OwesTo reports whether anything is owed to an operator, or on its way.
func (s *Store) OwesTo(op OperatorID) bool { return s.pending.OwesTo(string(op)) }

// OwedOf is how many posts of a class are owed.
func (s *Store) OwedOf(class Class) (n int) { return s.pending.OwedOf(class.rank()) }

// Counts is how much there is, counted without a walk through the database.
type Counts struct {
	Operators int
	Waiting   int   // in the inbox
	Owed      int   // posts
	Due       int   // on the agenda; no more than MostDue are counted
	Bytes     int64 // the size of the database
}

// MostDue is how many due moments are counted.
const MostDue = 10_000

// Counts counts as of now.
func (s *Store) Counts(now time.Time) (c Counts, err error) {
	err = s.read(func(t *tx) {
		c.Bytes = t.Size()
		for range t.In(schema.AgendaByTime).Up(nil, keys.Time(now.Add(1))) {
			if c.Due++; c.Due == MostDue {
				break
			}
		}
	})
	c.Operators = int(s.operators.Load())
	c.Waiting, c.Owed = s.pending.Count()
	return c, err
}

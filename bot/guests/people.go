package guests

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"skyslate/storage"
)

// person is what is kept of somebody who is in, or has blocked the bot. It is
// stored as JSON under the rule of the book; the zero value is not stored.
type person struct {
	In      time.Time `json:"in,omitzero"`       // let in by invitation, and when
	Gone    time.Time `json:"gone,omitzero"`     // when they blocked the bot
	Numbers []int     `json:"numbers,omitempty"` // of the invitations that they came in by
}

func (p person) isZero() bool { return p.In.IsZero() && p.Gone.IsZero() && len(p.Numbers) == 0 }

func personKey(op storage.OperatorID) string { return bookKey + "/person/" + string(op) }

// guestKey is where an invitation stands that let somebody in who is in still.
func guestKey(number int) string { return fmt.Sprint(bookKey, "/invited/", number) }

// person is what is kept of somebody.
func (g *Guests) person(op storage.OperatorID) (p person, err error) {
	kept, err := g.desk.Kept(personKey(op))
	if err == nil && kept != nil {
		err = json.Unmarshal(kept, &p)
	}
	return p, err
}

// value reads a value into v as this change leaves it, and reports whether there is
// one.
func (d *Draft) value(key string, v any) bool {
	kept, changed := d.values[key]
	var err error
	if !changed {
		kept, err = d.guests.desk.Kept(key)
	}
	if err == nil && kept != nil {
		err = json.Unmarshal(kept, v)
	}
	d.fail(err)
	return err == nil && kept != nil
}

// put changes a value.
func (d *Draft) put(key string, v any) {
	kept, err := json.Marshal(v)
	d.fail(err)
	d.values[key] = kept
}

// fail remembers the first error: nothing of the change is kept then.
func (d *Draft) fail(err error) {
	if d.err == nil {
		d.err = err
	}
}

func (d *Draft) person(op storage.OperatorID) (p person) {
	d.value(personKey(op), &p)
	return p
}

func (d *Draft) putPerson(op storage.OperatorID, p person) {
	if p.isZero() {
		d.values[personKey(op)] = nil
		return
	}
	d.put(personKey(op), p)
}

// putIn lets somebody in by an invitation, which is open no more.
func (d *Draft) putIn(op storage.OperatorID, i invitation) {
	b := d.edit()
	b.Invited = slices.DeleteFunc(b.Invited, func(other invitation) bool { return other.Number == i.Number })
	b.Guests++
	i.Guest, i.Came = op, d.Now
	d.put(guestKey(i.Number), i)
	p := d.person(op)
	p.In, p.Numbers = d.Now, append(p.Numbers, i.Number)
	d.putPerson(op, p)
}

// putOut takes back the invitation of somebody who is in by it.
func (d *Draft) putOut(i invitation) {
	b := d.edit()
	b.Guests--
	d.values[guestKey(i.Number)] = nil
	p := d.person(i.Guest)
	p.In = time.Time{}
	p.Numbers = slices.DeleteFunc(p.Numbers, func(n int) bool { return n == i.Number })
	d.putPerson(i.Guest, p)
	d.Out = append(d.Out, i.Guest)
	i.Off, i.Guest = d.Now, ""
	at, _ := b.find(i.Number)
	b.Invited = slices.Insert(b.Invited, at, i)
}

// forget removes somebody who is to be forgotten.
func (d *Draft) forget(op storage.OperatorID) {
	b := d.edit()
	for _, n := range d.person(op).Numbers {
		d.values[guestKey(n)] = nil
		b.Guests--
	}
	d.values[personKey(op)] = nil
	d.Out = append(d.Out, op)
	delete(b.Told, op)
	if b.Owner == op {
		b.Owner = ""
	}
	b.Notices = slices.DeleteFunc(b.Notices, func(n Notice) bool { return n.To == op })
}

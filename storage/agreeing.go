package storage

import (
	"time"

	"skyslate/storage/index"
	"skyslate/storage/keys"
	"skyslate/storage/named"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// Who compares, and which contacts name whom: package named.

func callerLeads(o Operator) (ls []index.Lead) {
	if a := o.Agreeing; a.Call.IsValid() {
		for _, k := range (named.Caller{Call: a.Call.Base(), Operator: string(o.ID), Since: a.Since}).Keys() {
			ls = append(ls, index.Lead{Index: schema.Callers, Key: k})
		}
	}
	return ls
}

// namedLeads are the entries of a latest version by the call that it names.
func namedLeads(t *table.Tx, c Contact) (ls []index.Lead) {
	if !c.OwnCall.IsValid() {
		return nil
	}
	for _, by := range named.By(t.In(schema.Callers), c.OwnCall.Base()) {
		if by.Operator == string(c.Operator) && (Agreeing{c.OwnCall, by.Since}).Shares(c) {
			ls = append(ls, index.Lead{Index: schema.Named, Key: named.Key(c.Call.Base(), c.Time, by.Operator, c.ID)})
		}
	}
	return ls
}

// putOperator stores an operator in the place of the one before, and what leads to them
// and, where what of their log is compared has changed, to their contacts.
func (t *tx) putOperator(old, o Operator) {
	t.In(schema.Operators).Set(opKey(o.ID), o)
	if old.Agreeing == o.Agreeing {
		return
	}
	var contacts []Contact
	var before []index.Lead
	since := old.Agreeing.Since
	if o.Agreeing.Call.IsValid() && (since.IsZero() || o.Agreeing.Since.Before(since)) {
		since = o.Agreeing.Since
	}
	_, end := keys.With(opKey(o.ID))
	for k := range t.In(schema.ContactsByTime).Up(opKey(o.ID, keys.Time(since)), end) {
		c, _ := t.latest(o.ID, keys.UintOf(k))
		contacts = append(contacts, c)
		before = append(before, namedLeads(t.Tx, c)...)
	}
	index.Move(t.Tx, callerLeads(old), callerLeads(o))
	var after []index.Lead
	for _, c := range contacts {
		after = append(after, namedLeads(t.Tx, c)...)
	}
	index.Move(t.Tx, before, after)
}

// CallersOf are the operators who compare under just that base of a call.
func (v *View) CallersOf(base string) []OperatorID {
	return operatorsOf(named.By(v.t.In(schema.Callers), base))
}

// CallersNear are those under a base that is off by at most two symbols.
func (v *View) CallersNear(base string) []OperatorID {
	return operatorsOf(named.Near(v.t.In(schema.Callers), base))
}

// CallersFrom are those under a base that begins with a part.
func (v *View) CallersFrom(head string) []OperatorID {
	return operatorsOf(named.Beginning(v.t.In(schema.Callers), head))
}

// CallersTo are those under a base that ends in a part.
func (v *View) CallersTo(tail string) []OperatorID {
	return operatorsOf(named.Ending(v.t.In(schema.Callers), tail))
}

func operatorsOf(callers []named.Caller) (ids []OperatorID) {
	for _, c := range callers {
		ids = append(ids, OperatorID(c.Operator))
	}
	return ids
}

// VisitNaming visits the contacts of those who compare that name just that base of a call
// in a range of time, by time, until visit says stop.
func (v *View) VisitNaming(base string, from, to time.Time, more func(Contact) bool) error {
	named.Visit(v.t.In(schema.Named), base, from, to, func(op string, id uint64) bool {
		c, ok := v.contact(OperatorID(op), id)
		return v.t.Err() == nil && (!ok || more(c))
	})
	return v.t.Err()
}

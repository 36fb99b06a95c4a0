// Package schema is the layout of the database: its buckets, how entries lie in them, and
// the number that tells layouts apart.
//
// Keys sort as bytes (package keys); op is the operator's ID. Values are JSON, and those
// of an index empty. Neighbours are stored together, packed and with one checksum over
// their place and themselves (package block): those of one operator, and in seen, agenda,
// agenda_by_time, posts, callers and named any. Meta, kept, inbox, inbox_by_id, dead, operators and owed
// hold each value for itself.
//
//	meta              "store"            magic and schema number
//	                  "backup"           the newest backup; whether it is that
//	                  "kept"             how many changes of who is let in there were
//	                  "mending"          it was made anew: see package storage
//	                  "journal"          the length of the journal, its checksum, its last lines
//	                  "compared"         how many changes of who is let in there were when all was compared
//	                  "packing"          an older schema is still being brought up to this one
//	kept              key                a transport's own memory
//	inbox             number             Raw, in the order of arrival, and whose it is
//	inbox_by_id       ID                 the number
//	seen              event              when it was worked, in which transaction
//	dead              ID                 Raw, why and when it was set aside
//	operators         op                 Operator
//	passes            op, pass           Pass, where something stands on it
//	passes_by_end     op, LOS, pass      index
//	contacts          op, id, version    Contact
//	contacts_by_pass  op, pass, id       index of the latest versions
//	contacts_by_call  op, call, id       index of the latest versions that have a call
//	contacts_by_time  op, time, id       index of the latest versions
//	contacts_by_square op, square, bird, id  index of the latest versions by each grid
//	contacts_by_tail  op, call, id       index of the latest versions by the base
//	                                     call, spelled backwards
//	handed            op, id             the newest version that is out in a file
//	messages          op, id             Message
//	messages_by_pass  op, pass, id       index
//	steps             op, number         Step
//	sittings          op, number         Sitting
//	names             op, number         the name of a message, by an app that doesn't number
//	                                     them (package names)
//	numbers           op, name           the number
//	agenda            key                Item
//	agenda_by_time    time, key          index
//	posts             name               Post, its place in the queue, how it ended
//	posts_by_app      op, app's id       the name of the post that is out
//	owed              number             the name of the post, in order of its owing
//	callers           part, call, op, since  index of operators who let their log be held
//	                                     against others (package named)
//	named             call, time, op, id  index of their latest versions that are
package schema

import (
	"errors"
	"slices"

	"skyslate/storage/block"
	"skyslate/storage/database"
	"skyslate/storage/fault"
	"skyslate/storage/salvage"
	"skyslate/storage/table"
)

// The buckets.
const (
	Meta             = "meta"
	Kept             = "kept"
	Inbox            = "inbox"
	InboxByID        = "inbox_by_id"
	Seen             = "seen"
	Dead             = "dead"
	Operators        = "operators"
	Passes           = "passes"
	PassesByEnd      = "passes_by_end"
	Contacts         = "contacts"
	ContactsByPass   = "contacts_by_pass"
	ContactsByCall   = "contacts_by_call"
	ContactsByTime   = "contacts_by_time"
	ContactsBySquare = "contacts_by_square"
	ContactsByTail   = "contacts_by_tail"
	Handed           = "handed"
	Messages         = "messages"
	MessagesByPass   = "messages_by_pass"
	Steps            = "steps"
	Sittings         = "sittings"
	Names            = "names"
	Numbers          = "numbers"
	Agenda           = "agenda"
	AgendaByTime     = "agenda_by_time"
	Posts            = "posts"
	PostsByApp       = "posts_by_app"
	Owed             = "owed"
	Callers          = "callers"
	Named            = "named"
)

// layout says how entries lie in the buckets (package block).
var layout = table.Layout{
	Meta: block.Single, Kept: block.Single, Inbox: block.Single, InboxByID: block.Single, Dead: block.Single,
	Operators: block.Single, Owed: block.Single,
	Seen: block.Any, Agenda: block.Any, AgendaByTime: block.Any, Posts: block.Any,
	Callers: block.Any, Named: block.Any,
	Passes: block.ByFirst, PassesByEnd: block.ByFirst, Contacts: block.ByFirst,
	ContactsByPass: block.ByFirst, ContactsByCall: block.ByFirst, ContactsByTime: block.ByFirst,
	ContactsBySquare: block.ByFirst, ContactsByTail: block.ByFirst, Handed: block.ByFirst,
	Messages: block.ByFirst, MessagesByPass: block.ByFirst, PostsByApp: block.ByFirst,
	Steps: block.ByFirst, Sittings: block.ByFirst, Names: block.ByFirst, Numbers: block.ByFirst,
}

// The buckets by their kinds: the indexes of contacts, all indexes, those that hold more
// than an index does, and all of them.
var (
	OfContacts = []string{
		ContactsByPass, ContactsByCall, ContactsByTime, ContactsBySquare, ContactsByTail,
	}
	Indexes = slices.Concat(OfContacts, []string{
		InboxByID, Owed, AgendaByTime, PassesByEnd, MessagesByPass, PostsByApp, Numbers, Callers, Named,
	})
	Records = []string{
		Kept, Inbox, Seen, Dead, Operators, Passes, Contacts, Handed, Messages, Steps, Sittings,
		Names, Agenda, Posts,
	}
	All = slices.Concat([]string{Meta}, Records, Indexes)
)

const (
	magic = "skyslate store"
	// Number is that of the layout that this program writes.
	Number = 6
)

// header is the value that makes a database ours.
type header struct {
	Magic  string `json:"magic"`
	Schema int    `json:"schema"`
}

const headerKey Value[header] = "store"

// Value is the key of a value about the store itself, which stands beside the header.
type Value[T any] string

// Get is the value, if there is one.
func (v Value[T]) Get(t *table.Tx) (value T, ok bool) { return table.Get[T](t.In(Meta), []byte(v)) }

// Has reports whether there is one.
func (v Value[T]) Has(t *table.Tx) bool { return t.In(Meta).Has([]byte(v)) }

// Of is the value, or the zero one.
func (v Value[T]) Of(t *table.Tx) T {
	value, _ := v.Get(t)
	return value
}

// Set stores it.
func (v Value[T]) Set(t *table.Tx, value T) { t.In(Meta).Set([]byte(v), value) }

// Delete removes it.
func (v Value[T]) Delete(t *table.Tx) { t.In(Meta).Delete([]byte(v)) }

// Open opens a database file.
func Open(path string, readOnly bool) (*database.File, error) {
	return database.Open(path, readOnly, layout)
}

// Examine says what is wrong with a database; halved: nothing but the older of its two
// head pages.
func Examine(path string) (halved bool, err error) {
	return database.Examine(path, layout, func(t *table.Tx) { Of(t) })
}

// Create lays out an empty store, or what an older layout lacks.
func Create(t *table.Tx) {
	for _, name := range All {
		t.Create(name)
	}
	headerKey.Set(t, header{magic, Number})
}

// ErrNewer is a database of a newer program.
var ErrNewer = errors.New("the store is of a newer skyslate")

// Of is the number of the layout of a database. One that isn't ours or is newer than this
// program is refused.
func Of(t *table.Tx) int {
	h, ok := headerKey.Get(t)
	switch {
	case t.Err() != nil:
	case !ok && t.Bucket([]byte(Contacts)) != nil && t.Bucket([]byte(InboxByID)) != nil:
		t.Fail(fault.Damaged("its head value is missing"))
	case !ok || h.Magic != magic:
		t.Fail(fault.Of(database.ErrForeign, "it is the database of another program"))
	case h.Schema > Number:
		t.Fail(tooNew(h.Schema))
	case h.Schema < 1:
		t.Fail(fault.Damaged("it has the impossible schema %d", h.Schema))
	case h.Schema == Number:
		for _, name := range All {
			if t.Bucket([]byte(name)) == nil {
				t.Fail(fault.Damaged("the bucket %q is missing", name))
			}
		}
	}
	return h.Schema
}

func tooNew(found int) error {
	return fault.Of(ErrNewer, "it has schema %d and this skyslate knows schemas up to %d: "+
		"run the newer skyslate, or use a backup from before", found, Number)
}

// SalvageRules say of which buckets a value that is out of date is better than none.
func SalvageRules() map[string]salvage.Rule {
	all := map[string]salvage.Rule{}
	for _, name := range All {
		all[name] = salvage.LiveAlone
	}
	all[Operators] = salvage.Rather
	for _, name := range []string{Contacts, Messages, Steps, Sittings, Names} {
		all[name] = salvage.Growing
	}
	return all
}

// Salvage collects what can be read of a damaged database with pages of that size. A newer
// schema is left to the skyslate that knows it.
func Salvage(path string, pageSize int) (*salvage.Find, error) {
	found, err := salvage.File(path, pageSize, SalvageRules())
	var head header
	if err == nil {
		if found.Read(Meta, string(headerKey), &head); head.Schema > Number {
			err = tooNew(head.Schema)
		}
	}
	return found, err
}

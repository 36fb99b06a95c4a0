package storage

import (
	"fmt"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// The buckets; the package comment says what is in each.
const (
	inMeta             = "meta"
	inKept             = "kept"
	inInbox            = "inbox"
	inInboxByID        = "inbox_by_id"
	inSeen             = "seen"
	inDead             = "dead"
	inOperators        = "operators"
	inPasses           = "passes"
	inPassesByEnd      = "passes_by_end"
	inContacts         = "contacts"
	inContactsByPass   = "contacts_by_pass"
	inContactsByCall   = "contacts_by_call"
	inContactsByTime   = "contacts_by_time"
	inContactsBySquare = "contacts_by_square"
	inContactsByTail   = "contacts_by_tail"
	inHanded           = "handed"
	inMessages         = "messages"
	inMessagesByPass   = "messages_by_pass"
	inSteps            = "steps"
	inSittings         = "sittings"
	inAgenda           = "agenda"
	inAgendaByTime     = "agenda_by_time"
	inPosts            = "posts"
	inPostsByApp       = "posts_by_app"
	inOwed             = "owed"
)

// recordNames are the buckets that hold more than an index does.
func recordNames() []string {
	return []string{
		inKept, inInbox, inSeen, inDead, inOperators, inPasses, inContacts,
		inHanded, inMessages, inSteps, inSittings, inAgenda, inPosts,
	}
}

func indexNames() []string {
	return []string{
		inInboxByID, inPassesByEnd, inContactsByPass, inContactsByCall,
		inContactsByTime, inContactsBySquare, inContactsByTail,
		inMessagesByPass, inAgendaByTime, inPostsByApp, inOwed,
	}
}

func bucketNames() []string { return slices.Concat([]string{inMeta}, recordNames(), indexNames()) }

const (
	magic = "skyslate store"
	// schema is the number of the layout that this program writes.
	schema = 3
)

// header is the value that makes a database ours.
type header struct {
	Magic  string `json:"magic"`
	Schema int    `json:"schema"`
}

const headerKey = "store"

// migrations[n] leads from schema n+1 to n+2. A layout that was ever released
// stays reachable from here, and a golden file of it opens in the tests.
func migrations() []func(tx) error {
	return []func(tx) error{tx.indexSquaresAndTails, tx.makeRoomForSittings}
}

// tx is a transaction in our terms.
type tx struct{ *bolt.Tx }

// in is one of our buckets; openings made sure that it is there.
func (t tx) in(name string) bucket { return bucket{t.Bucket([]byte(name)), name} }

// create lays out an empty store.
func (t tx) create() error {
	for _, name := range bucketNames() {
		if _, err := t.CreateBucketIfNotExists([]byte(name)); err != nil {
			return err
		}
	}
	return put(t.in(inMeta), []byte(headerKey), header{magic, schema})
}

// header refuses a database that isn't ours or is newer than this program.
func (t tx) header() (header, error) {
	meta := t.in(inMeta)
	if meta.Bucket == nil {
		return header{}, &fault{ErrForeign, "it is the database of another program"}
	}
	h, ok, err := get[header](meta, []byte(headerKey))
	switch {
	case err != nil:
		return h, err
	case !ok || h.Magic != magic:
		return h, &fault{ErrForeign, "it is the database of another program"}
	case h.Schema > schema:
		return h, tooNew(h.Schema)
	case h.Schema < 1:
		return h, damaged("it has the impossible schema %d", h.Schema)
	}
	return h, t.complete(h.Schema)
}

func tooNew(found int) error {
	return &fault{ErrNewer, fmt.Sprintf("it has schema %d and this skyslate knows schemas up to %d: run the newer skyslate, or use a backup from before", found, schema)}
}

// complete makes sure that every bucket of this program's schema is there.
func (t tx) complete(found int) error {
	if found < schema {
		return nil
	}
	for _, name := range bucketNames() {
		if t.in(name).Bucket == nil {
			return damaged("the bucket %q is missing", name)
		}
	}
	return nil
}

// migrate brings the layout from an older schema up to this program's.
func (t tx) migrate(from int) error {
	for n, step := range migrations()[from-1:] {
		if err := step(t); err != nil {
			return fmt.Errorf("migrate from schema %d: %w", from+n, err)
		}
	}
	return t.create()
}

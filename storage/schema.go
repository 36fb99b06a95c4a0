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
var recordNames = []string{
	inKept, inInbox, inSeen, inDead, inOperators, inPasses, inContacts,
	inHanded, inMessages, inSteps, inSittings, inAgenda, inPosts,
}

var indexNames = []string{
	inInboxByID, inPassesByEnd, inContactsByPass, inContactsByCall,
	inContactsByTime, inContactsBySquare, inContactsByTail,
	inMessagesByPass, inAgendaByTime, inPostsByApp, inOwed,
}

var bucketNames = slices.Concat([]string{inMeta}, recordNames, indexNames)

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

// tx is a transaction in our terms. Its first error stays and undoes it: what is
// read after that is nothing, and nothing is written.
type tx struct {
	*bolt.Tx
	err  error
	news news // what it changes of what is pending
}

func (t *tx) fail(err error) {
	if t.err == nil {
		t.err = err
	}
}

// inOurs is fn as the library calls it.
func inOurs(fn func(*tx)) func(*bolt.Tx) error {
	return func(t *bolt.Tx) error {
		ours := tx{Tx: t}
		fn(&ours)
		return ours.err
	}
}

func (t *tx) in(name string) bucket { return bucket{t.Bucket([]byte(name)), name, t} }

// create lays out an empty store, or what an older layout lacks.
func (t *tx) create() {
	for _, name := range bucketNames {
		_, err := t.CreateBucketIfNotExists([]byte(name))
		t.fail(err)
	}
	t.in(inMeta).put([]byte(headerKey), header{magic, schema})
}

// header refuses a database that isn't ours or is newer than this program.
func (t *tx) header() header {
	h, ok := get[header](t.in(inMeta), []byte(headerKey))
	switch {
	case t.err != nil:
	case !ok && t.Bucket([]byte(inContacts)) != nil && t.Bucket([]byte(inInboxByID)) != nil:
		t.fail(damaged("its head value is missing"))
	case !ok || h.Magic != magic:
		t.fail(&fault{ErrForeign, "it is the database of another program"})
	case h.Schema > schema:
		t.fail(tooNew(h.Schema))
	case h.Schema < 1:
		t.fail(damaged("it has the impossible schema %d", h.Schema))
	case h.Schema == schema:
		for _, name := range bucketNames {
			if t.Bucket([]byte(name)) == nil {
				t.fail(damaged("the bucket %q is missing", name))
			}
		}
	}
	return h
}

func tooNew(found int) error {
	return &fault{ErrNewer, fmt.Sprintf("it has schema %d and this skyslate knows schemas up to %d: "+
		"run the newer skyslate, or use a backup from before", found, schema)}
}

// migrate brings the layout from an older schema up to this program's. A layout
// that was ever released stays reachable from here, and a golden file of it opens
// in the tests.
func (t *tx) migrate(from int) {
	t.create()
	if from < 2 { // since then contacts are found by grid square and by the end of the call
		t.reindex()
	}
	// Since 3 evidence is kept. What was logged before has none and stays as it is
	// until somebody speaks of it.
}

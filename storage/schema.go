package storage

import (
	"slices"

	"skyslate/storage/block"
	"skyslate/storage/database"
	"skyslate/storage/fault"
	"skyslate/storage/keys"
	"skyslate/storage/queue"
	"skyslate/storage/table"
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
	inNames            = "names"
	inNumbers          = "numbers"
	inAgenda           = "agenda"
	inAgendaByTime     = "agenda_by_time"
	inPosts            = "posts"
	inPostsByApp       = "posts_by_app"
	inOwed             = "owed"
	inCallers          = "callers"
	inNamed            = "named"
)

// layout says how entries lie in the buckets (package block).
var layout = table.Layout{
	inMeta: block.Single, inKept: block.Single, inInbox: block.Single, inInboxByID: block.Single, inDead: block.Single,
	inOperators: block.Single, inOwed: block.Single,
	inSeen: block.Any, inAgenda: block.Any, inAgendaByTime: block.Any, inPosts: block.Any,
	inCallers: block.Any, inNamed: block.Any,
	inPasses: block.ByFirst, inPassesByEnd: block.ByFirst, inContacts: block.ByFirst,
	inContactsByPass: block.ByFirst, inContactsByCall: block.ByFirst, inContactsByTime: block.ByFirst,
	inContactsBySquare: block.ByFirst, inContactsByTail: block.ByFirst, inHanded: block.ByFirst,
	inMessages: block.ByFirst, inMessagesByPass: block.ByFirst, inPostsByApp: block.ByFirst,
	inSteps: block.ByFirst, inSittings: block.ByFirst, inNames: block.ByFirst, inNumbers: block.ByFirst,
}

var (
	contactIndexes = []string{
		inContactsByPass, inContactsByCall, inContactsByTime, inContactsBySquare, inContactsByTail,
	}
	indexNames = slices.Concat(contactIndexes, []string{
		inInboxByID, inOwed, inAgendaByTime, inPassesByEnd, inMessagesByPass, inPostsByApp, inNumbers, inCallers, inNamed,
	})
	// recordNames are the buckets that hold more than an index does.
	recordNames = []string{
		inKept, inInbox, inSeen, inDead, inOperators, inPasses, inContacts, inHanded, inMessages, inSteps, inSittings,
		inNames, inAgenda, inPosts,
	}
	bucketNames = slices.Concat([]string{inMeta}, recordNames, indexNames)
)

const (
	magic = "skyslate store"
	// schema is the number of the layout that this program writes.
	schema = 6
)

// header is the value that makes a database ours.
type header struct {
	Magic  string `json:"magic"`
	Schema int    `json:"schema"`
}

const headerKey meta[header] = "store"

// tx is a transaction in our terms.
type tx struct {
	*table.Tx
	lines []entry // what the journal is to hold of it

	pending   *queue.Queue[outPost] // before it
	news      queue.News            // what it changes of that
	operators int                   // how many more there are
}

// inOurs is fn as package table calls it.
func inOurs(fn func(*tx)) func(*table.Tx) {
	return func(t *table.Tx) { fn(&tx{Tx: t}) }
}

func openFile(path string, readOnly bool) (*database.File, error) {
	return database.Open(path, readOnly, layout)
}

func (t *tx) checkName(name, s string) { t.Fail(keys.Check(name, s)) }

func opKey(op OperatorID, parts ...[]byte) []byte {
	return slices.Concat(keys.Text(string(op)), slices.Concat(parts...))
}

// meta is the key of a value about the store itself.
type meta[T any] string

func (m meta[T]) get(t *tx) (v T, ok bool) { return table.Get[T](t.In(inMeta), []byte(m)) }
func (m meta[T]) has(t *tx) bool           { return t.In(inMeta).Has([]byte(m)) }
func (m meta[T]) set(t *tx, v T)           { t.In(inMeta).Set([]byte(m), v) }
func (m meta[T]) delete(t *tx)             { t.In(inMeta).Delete([]byte(m)) }

// of is the value, or the zero one.
func (m meta[T]) of(t *tx) T {
	v, _ := m.get(t)
	return v
}

// create lays out an empty store, or what an older layout lacks.
func (t *tx) create() {
	for _, name := range bucketNames {
		t.Create(name)
	}
	headerKey.set(t, header{magic, schema})
}

// header refuses a database that isn't ours or is newer than this program.
func (t *tx) header() header {
	h, ok := headerKey.get(t)
	switch {
	case t.Err() != nil:
	case !ok && t.Bucket([]byte(inContacts)) != nil && t.Bucket([]byte(inInboxByID)) != nil:
		t.Fail(fault.Damaged("its head value is missing"))
	case !ok || h.Magic != magic:
		t.Fail(fault.Of(ErrForeign, "it is the database of another program"))
	case h.Schema > schema:
		t.Fail(tooNew(h.Schema))
	case h.Schema < 1:
		t.Fail(fault.Damaged("it has the impossible schema %d", h.Schema))
	case h.Schema == schema:
		for _, name := range bucketNames {
			if t.Bucket([]byte(name)) == nil {
				t.Fail(fault.Damaged("the bucket %q is missing", name))
			}
		}
	}
	return h
}

func tooNew(found int) error {
	return fault.Of(ErrNewer, "it has schema %d and this skyslate knows schemas up to %d: "+
		"run the newer skyslate, or use a backup from before", found, schema)
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
	// Since 5 messages have names beside their numbers: those of before have none.
	// Since 6 logs are held against each other: nobody's of before is.
	if from < 4 { // since then neighbours are one value; until all are, both are read
		packingKey.set(t, true)
	}
}

// packingKey is where it stands beside the header that entries of an older schema are
// still to be packed.
const packingKey meta[bool] = "packing"

// packedAtOnce is how many of them are packed in a transaction.
const packedAtOnce = 2000

// pack puts together the entries of an older schema, and gives back the room.
func (s opening) pack() error {
	var packing bool
	err := s.read(func(t *tx) { packing = packingKey.has(t) })
	if err != nil || !packing {
		return err
	}
	for _, name := range slices.Concat(recordNames, indexNames) {
		for next := []byte{}; next != nil && err == nil; {
			err = s.update(func(t *tx) { next = t.In(name).Pack(next, packedAtOnce) })
		}
	}
	if err == nil {
		err = s.update(func(t *tx) { packingKey.delete(t) })
	}
	if err == nil {
		err = s.file.Compact()
	}
	return err
}

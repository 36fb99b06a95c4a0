package storage

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"

	bolt "go.etcd.io/bbolt"

	"skyslate/storage/block"
	"skyslate/storage/disk"
	"skyslate/storage/queue"
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
)

// recordShapes are the buckets that hold more than an index does, and how their entries
// lie in them (package block); indexShapes are the indexes.
var (
	recordShapes = map[string]block.Shape{
		inKept: block.Single, inInbox: block.Single, inDead: block.Single, inOperators: block.Single,
		inSeen: block.Any, inAgenda: block.Any, inPosts: block.Any,
		inPasses: block.ByFirst, inContacts: block.ByFirst, inHanded: block.ByFirst,
		inMessages: block.ByFirst, inSteps: block.ByFirst, inSittings: block.ByFirst,
		inNames: block.ByFirst,
	}
	indexShapes = map[string]block.Shape{
		inInboxByID: block.Single, inOwed: block.Single, inAgendaByTime: block.Any,
		inPassesByEnd: block.ByFirst, inMessagesByPass: block.ByFirst, inPostsByApp: block.ByFirst,
		inContactsByPass: block.ByFirst, inContactsByCall: block.ByFirst, inContactsByTime: block.ByFirst,
		inContactsBySquare: block.ByFirst, inContactsByTail: block.ByFirst, inNumbers: block.ByFirst,
	}
)

var (
	recordNames = slices.Sorted(maps.Keys(recordShapes))
	indexNames  = slices.Sorted(maps.Keys(indexShapes))
	bucketNames = slices.Concat([]string{inMeta}, recordNames, indexNames)
)

const (
	magic = "skyslate store"
	// schema is the number of the layout that this program writes.
	schema = 5
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
	buckets map[string]bucket
	err     error
	lines   []entry // what the journal is to hold of it

	pending   *queue.Queue[outPost] // before it
	news      queue.News            // what it changes of that
	operators int                   // how many more there are
}

func (t *tx) fail(err error) {
	if t.err == nil {
		t.err = err
	}
}

// inOurs is fn as the library calls it.
func inOurs(fn func(*tx)) func(*bolt.Tx) error {
	return func(t *bolt.Tx) error {
		ours := tx{Tx: t, buckets: map[string]bucket{}}
		fn(&ours)
		for _, b := range ours.buckets {
			b.Flush()
		}
		return ours.err
	}
}

func (t *tx) in(name string) bucket {
	b, known := t.buckets[name]
	if !known || !b.Exists() {
		b = bucket{block.New(t.Tx, name, recordShapes[name]+indexShapes[name], &t.err), name, t}
		t.buckets[name] = b
	}
	return b
}

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
	// Since 5 messages have names beside their numbers: those of before have none.
	if from < 4 { // since then neighbours are one value; until all are, both are read
		t.in(inMeta).put([]byte(packingKey), true)
	}
}

// packingKey is where it stands beside the header that entries of an older schema are
// still to be packed.
const packingKey = "packing"

// packedAtOnce is how many of them are packed in a transaction.
const packedAtOnce = 2000

// pack puts together the entries of an older schema, and gives back the room.
func (s opening) pack() error {
	var packing bool
	err := s.read(func(t *tx) { packing = t.in(inMeta).Has([]byte(packingKey)) })
	if err != nil || !packing {
		return err
	}
	for _, name := range slices.Concat(recordNames, indexNames) {
		for next := []byte{}; next != nil && err == nil; {
			err = s.update(func(t *tx) { next = t.in(name).Pack(next, packedAtOnce) })
		}
	}
	if err == nil {
		err = s.update(func(t *tx) { t.in(inMeta).Delete([]byte(packingKey)) })
	}
	if err == nil {
		err = s.compact()
	}
	return err
}

// compact puts a copy of the database without its free pages in its place. The
// copy is open, and so locked, before it gets the name.
func (s opening) compact() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.usable(); err != nil {
		return err
	}
	path := s.path + ".compact"
	if err := os.RemoveAll(path); err != nil {
		return err
	}
	f, err := openFile(path, false)
	if err != nil {
		return err
	}
	err = errors.Join(bolt.Compact(f.db, s.file.db, 1<<20), os.Chmod(path, 0o600))
	if err == nil {
		err = disk.Rename(path, s.path)
	}
	if err != nil {
		return errors.Join(err, f.close(), os.Remove(path))
	}
	old := s.file
	s.file = f
	return old.close()
}

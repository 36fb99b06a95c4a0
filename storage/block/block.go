// Package block is how entries lie in the buckets of the database.
//
// Neighbouring entries of a log are much alike, and the library spends sixteen bytes,
// a checksum and half a page on each. So up to some kilobytes of neighbours are one
// value, a run: packed together, with one checksum, under the key of the first of
// them. Whoever reads and writes sees entries in the order of their
// keys and nothing of runs.
//
// In a transaction a run is unpacked once and packed once, at its end (Flush): what
// an event adds to the last run of an operator costs little, however often that is.
//
// A value of the library's bucket is an envelope:
//
//	byte 0     1: a run of one entry, whose key is that of the value
//	           2: a run of any number of entries
//	bytes 1-4  CRC-32C (Castagnoli), big-endian, of the bucket's name, a zero
//	           byte, the key and all that follows
//	then       1: the entry's value
//	           2: the entries, in the block format of snappy: for each, as uvarints,
//	           how many bytes its key has in common with the key before (the first:
//	           with the key of the run), how many follow, and how long its value is;
//	           then these bytes of the key, and the value
//
// The database library has no page checksums: without ours one flipped bit would
// silently be another call sign. Bucket and key are part of the sum, so a value that
// turns up in another place is found, too. Both kinds may stand side by side in a
// bucket: until schema 3 each entry was a value of its own.
package block

import (
	"bytes"
	"errors"
	"fmt"
	"hash/crc32"
	"iter"
	"maps"
	"slices"

	bolt "go.etcd.io/bbolt"
)

const (
	singleVersion = 1
	runVersion    = 2
	envelopeHead  = 5
)

// Shape says which entries of a bucket share runs.
type Shape int

// The shapes of buckets.
const (
	Single  Shape = iota // none: each is written alone, or large, or read by older programs
	ByFirst              // those whose keys begin with the same text: of one operator
	Any
)

// most is how large a run gets before it is packed, but for one of one entry: an event
// has little to unpack, and two runs of contacts fill one of the library's pages.
const most = 12 << 10

// fullness is how full a page is left when it is split: with less a third run finds no
// room.
const fullness = 1

// worthPacking is how large a value is that shares its run with nobody and is packed all
// the same.
const worthPacking = 256

// ErrDamaged is a value that isn't as it was written.
var ErrDamaged = errors.New("the store is damaged")

// damage is such an error in a sentence.
type damage string

func (d damage) Error() string { return string(d) }

// Is makes it known as ErrDamaged.
func (damage) Is(target error) bool { return target == ErrDamaged }

func damaged(format, bucket string, key []byte, more ...any) error {
	return damage(fmt.Sprintf("the value of %s %q "+format, append([]any{bucket, key}, more...)...))
}

// Entry is a key and its value.
type Entry struct{ Key, Value []byte }

// Bucket are the entries of one bucket in a transaction. It is good for one goroutine.
// Once something failed in the transaction nothing is read or written any more.
type Bucket struct {
	name  string
	shape Shape
	in    *bolt.Bucket // nil: there is none, as in an older layout that is only read
	err   *error       // the transaction's first
	held  map[string]*run
}

// run is an unpacked run.
type run struct {
	at      []byte // its key in the library's bucket
	entries []Entry
	size    int
	changed bool
}

// New is the bucket of a name; err is where the transaction's first error stands.
func New(t *bolt.Tx, name string, shape Shape, err *error) *Bucket {
	b := &Bucket{name: name, shape: shape, in: t.Bucket([]byte(name)), err: err, held: map[string]*run{}}
	if b.in != nil {
		b.in.FillPercent = fullness
	}
	return b
}

func (b *Bucket) fail(err error) {
	if *b.err == nil {
		*b.err = err
	}
}

// Exists reports whether the database has such a bucket.
func (b *Bucket) Exists() bool { return b.in != nil }

// Get is the value under a key, nil if there is none.
func (b *Bucket) Get(key []byte) []byte {
	if r := b.find(key); r != nil {
		if i, found := r.search(key); found {
			return r.entries[i].Value
		}
	}
	return nil
}

// Has reports whether there is an entry under a key.
func (b *Bucket) Has(key []byte) bool { return b.Get(key) != nil }

// Put stores an entry in the place of the one under its key.
func (b *Bucket) Put(key, value []byte) {
	if *b.err != nil {
		return
	}
	r := b.find(key)
	if r == nil {
		r = b.lead(bytes.Clone(key))
	}
	i, found := r.search(key)
	if found {
		r.size -= r.entries[i].len()
		r.entries[i].Value = append([]byte{}, value...)
	} else {
		r.entries = slices.Insert(r.entries, i, Entry{bytes.Clone(key), append([]byte{}, value...)})
	}
	r.size += r.entries[i].len()
	r.changed = true
	if r.size > most && len(r.entries) > 1 {
		b.split(r, i)
	}
}

func (e Entry) len() int { return len(e.Key) + len(e.Value) }

// Delete removes the entry under a key if it is there.
func (b *Bucket) Delete(key []byte) {
	if *b.err != nil {
		return
	}
	r := b.find(key)
	if r == nil {
		return
	}
	i, found := r.search(key)
	if !found {
		return
	}
	r.size -= r.entries[i].len()
	r.entries = slices.Delete(r.entries, i, i+1)
	r.changed = true
	if i > 0 {
		return
	}
	b.drop(r)
	if len(r.entries) > 0 {
		b.hold(r, r.entries[0].Key)
	}
}

// find is the run in which a key lies or would, nil if there is none: the last that
// begins with it or before.
func (b *Bucket) find(key []byte) *run {
	if b.in == nil {
		return nil
	}
	c := b.in.Cursor()
	k, data := c.Seek(key)
	if bytes.Equal(k, key) {
		return b.load(k, data)
	}
	if k, data = b.before(c, k); b.together(k, key) {
		return b.load(k, data)
	}
	return nil
}

// before is what lies before the place to which a cursor has been moved. Where that is
// a page that the transaction has emptied, the library says that there is nothing: then
// it is asked on, to the first key of all.
func (b *Bucket) before(c *bolt.Cursor, at []byte) (key, data []byte) {
	if at == nil {
		return c.Last()
	}
	for key == nil {
		if key, data = c.Prev(); key == nil {
			if first, _ := b.in.Cursor().First(); first == nil || bytes.Compare(first, at) >= 0 {
				return nil, nil
			}
		}
	}
	return key, data
}

// together reports whether two keys may share a run.
func (b *Bucket) together(k, key []byte) bool {
	switch {
	case k == nil || b.shape == Single:
		return false
	case b.shape == Any:
		return true
	}
	first := bytes.IndexByte(k, 0)
	return first >= 0 && bytes.HasPrefix(key, k[:first+1])
}

// lead is the run that begins with a key before which there is none: the next one, or
// one that is begun.
func (b *Bucket) lead(key []byte) *run {
	r := &run{}
	if k, data := b.in.Cursor().Seek(key); b.together(k, key) {
		r = b.load(k, data)
		b.drop(r)
	}
	b.hold(r, key)
	return r
}

// hold gives a run its key; its value is written by Flush.
func (b *Bucket) hold(r *run, key []byte) {
	r.at, r.changed = key, true
	b.fail(b.in.Put(key, nil))
	b.held[string(key)] = r
}

func (b *Bucket) drop(r *run) {
	b.fail(b.in.Delete(r.at))
	delete(b.held, string(r.at))
}

// split makes two runs of one that is too large after a change at a place: where
// entries come in order, the first stays full.
func (b *Bucket) split(r *run, changed int) {
	at := len(r.entries) - 1
	if changed < at {
		at = len(r.entries) / 2
	}
	rest := &run{entries: slices.Clone(r.entries[at:])}
	r.entries = slices.Clip(r.entries[:at])
	for _, e := range rest.entries {
		rest.size += e.len()
	}
	r.size -= rest.size
	b.hold(rest, rest.entries[0].Key)
}

// mostHeld is how many unpacked runs a transaction keeps of a bucket beside those that
// it has changed.
const mostHeld = 64

func (b *Bucket) load(k, data []byte) *run {
	if r := b.held[string(k)]; r != nil {
		return r
	}
	entries, err := Read(b.name, k, data)
	if err != nil {
		b.fail(err)
		return &run{at: k}
	}
	r := &run{at: bytes.Clone(k), entries: entries}
	for _, e := range entries {
		r.size += e.len()
	}
	if len(b.held) >= mostHeld {
		maps.DeleteFunc(b.held, func(_ string, r *run) bool { return !r.changed })
	}
	b.held[string(k)] = r
	return r
}

func (r *run) search(key []byte) (i int, found bool) {
	return slices.BinarySearchFunc(r.entries, key, func(e Entry, key []byte) int { return bytes.Compare(e.Key, key) })
}

// Up walks the entries with from ≤ key < before, in order; before nil: to the end. The
// bucket must not be changed meanwhile.
func (b *Bucket) Up(from, end []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func(key, value []byte) bool) {
		if b.in == nil {
			return
		}
		c := b.in.Cursor()
		k, data := c.Seek(from)
		if !bytes.Equal(k, from) { // the run before may reach into the range
			if k, data = b.before(c, k); !b.together(k, from) {
				k, data = c.Seek(from)
			}
		}
		for ; k != nil && (end == nil || bytes.Compare(k, end) < 0); k, data = c.Next() {
			r := b.load(k, data)
			first, _ := r.search(from)
			for _, e := range r.entries[first:] {
				if *b.err != nil || end != nil && bytes.Compare(e.Key, end) >= 0 || !yield(e.Key, e.Value) {
					return
				}
			}
		}
	}
}

// Down walks the same entries, the last first.
func (b *Bucket) Down(from, end []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func(key, value []byte) bool) {
		if b.in == nil {
			return
		}
		c := b.in.Cursor()
		k, _ := c.Seek(end)
		if end == nil {
			k = nil
		}
		k, data := b.before(c, k)
		for ; k != nil && (bytes.Compare(k, from) >= 0 || b.together(k, from)); k, data = b.before(c, k) {
			r := b.load(k, data)
			past := len(r.entries)
			if end != nil {
				past, _ = r.search(end)
			}
			for _, e := range slices.Backward(r.entries[:past]) {
				if *b.err != nil || bytes.Compare(e.Key, from) < 0 || !yield(e.Key, e.Value) {
					return
				}
			}
		}
	}
}

// Pack puts entries into runs that were written each for itself: about as many, from a
// key on. It returns the key from which to go on, nil at the end.
func (b *Bucket) Pack(from []byte, many int) (next []byte) {
	var runs []*run
	c := b.in.Cursor()
	k, data := c.Seek(from)
	for apart := true; k != nil && many > 0; k, data = c.Next() {
		if b.shape == Single || !bytes.HasPrefix(data, []byte{singleVersion}) {
			apart = true // one run must not reach beyond another
			continue
		}
		entries, err := Read(b.name, bytes.Clone(k), bytes.Clone(data))
		if err != nil {
			b.fail(err)
			return nil
		}
		e := entries[0]
		if apart || !b.together(runs[len(runs)-1].at, k) || runs[len(runs)-1].size+e.len() > most {
			runs = append(runs, &run{at: e.Key})
		}
		last := runs[len(runs)-1]
		last.entries, last.size, apart = append(last.entries, e), last.size+e.len(), false
		many--
	}
	next = bytes.Clone(k)
	for _, r := range runs {
		for _, e := range r.entries[1:] {
			b.fail(b.in.Delete(e.Key))
		}
		b.fail(b.in.Put(r.at, b.format(r)))
	}
	return next
}

// Flush writes what was changed. Without it a transaction must not end well.
func (b *Bucket) Flush() {
	for k, r := range b.held {
		if r.changed && *b.err == nil {
			b.fail(b.in.Put([]byte(k), b.format(r)))
			r.changed = false
		}
	}
}

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// mostUnpacked is how many bytes one packed byte stands for at most: snappy's copies
// take three bytes for sixty-four.
const mostUnpacked = 22

var (
	errTooLong  = errors.New("it says that it is longer than it can be")
	errNoLength = errors.New("an entry has no length")
	errCut      = errors.New("an entry is cut short")
)

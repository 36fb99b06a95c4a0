package storage

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"hash/fnv"
	"io"
)

// The database library maps its file into memory and believes every number in
// it: a flipped bit of a page number becomes an address, one of a count an
// allocation, and the process is gone. So before the library gets to see more
// than the head of a file, every page is read here in the ordinary way, and
// every number in it is bounded. The layout is the library's, version 2 of its
// format, in the byte order of the machine (its internal/common: page.go,
// meta.go, inode.go).
const (
	pageHead    = 16 // id 8, flags 2, count 2, overflow 4
	pageElement = 16 // branch: pos 4, ksize 4, page 8; leaf: flags 4, pos 4, ksize 4, vsize 4
	bucketHead  = 16 // root page 8, sequence 8

	branchPage   = 0x01
	leafPage     = 0x02
	metaPage     = 0x04
	freelistPage = 0x10

	bucketElement = 0x01 // the flag of a leaf element whose value is a bucket

	metaLen     = 64 // magic 4, version 4, page size 4, flags 4, root 16, freelist 8, high 8, tx 8, sum 8
	metaMagic   = 0xED0CDAED
	metaVersion = 2

	noFreelist = ^uint64(0)
)

// meta is a head page: the file begins with two, and the newer good one holds.
type meta struct {
	pageSize             uint64
	root, freelist, high uint64 // page numbers; high is past the last page
	tx                   uint64
}

func parseMeta(page []byte) (m meta, ok bool) {
	if len(page) < pageHead+metaLen {
		return m, false
	}
	n, b := binary.NativeEndian, page[pageHead:pageHead+metaLen]
	sum := fnv.New64a()
	_, _ = sum.Write(b[:metaLen-8]) // never fails
	if n.Uint32(b) != metaMagic || n.Uint32(b[4:]) != metaVersion || n.Uint64(b[56:]) != sum.Sum64() {
		return m, false
	}
	return meta{
		pageSize: uint64(n.Uint32(b[8:])),
		root:     n.Uint64(b[16:]), freelist: n.Uint64(b[32:]), high: n.Uint64(b[40:]),
		tx: n.Uint64(b[48:]),
	}, true
}

// surveyor walks the pages of a file. It goes on past what can't be, as far as
// that can be read.
type surveyor struct {
	r io.ReaderAt
	meta
	taken map[uint64]bool // pages seen in the trees or as the freelist
	// found gets each value, and each bucket as a key of the bucket "".
	found func(bucket string, key, value []byte)
	// lost gets what is wrong; something of the bucket may be missing then.
	lost func(bucket string, err error)
}

// surveyPages reports the first thing in a database file that can't be. Page
// size is what the library has found the file to have. Halved: one of the two
// head pages is bad, so the newest transaction may be missing.
func surveyPages(r io.ReaderAt, size int64, pageSize int) (halved bool, err error) {
	var first error
	s := surveyor{
		r: r, taken: map[uint64]bool{0: true, 1: true},
		found: func(string, []byte, []byte) {},
		lost:  func(_ string, err error) { first = cmp.Or(first, err) },
	}
	if halved, err = s.readMeta(pageSize); err != nil {
		return halved, err
	}
	if int64(s.high) > size/int64(pageSize) {
		return halved, damaged("it was cut short: %d pages are there, %d are needed", size/int64(pageSize), s.high)
	}
	s.tree("", s.root)
	if first != nil {
		return halved, first
	}
	return halved, s.free()
}

func (s *surveyor) readMeta(pageSize int) (halved bool, err error) {
	heads := make([]byte, 2*pageSize)
	if _, err := s.r.ReadAt(heads, 0); err != nil {
		return false, damaged("its head can't be read: %v", err)
	}
	a, aGood := parseMeta(heads[:pageSize])
	b, bGood := parseMeta(heads[pageSize:])
	switch {
	case aGood && (!bGood || a.tx > b.tx):
		s.meta = a
	case bGood:
		s.meta = b
	default:
		return false, damaged("both its head pages are bad")
	}
	if s.pageSize != uint64(pageSize) || s.high > 1<<40 {
		return false, damaged("its head page makes no sense")
	}
	n := binary.NativeEndian
	named := n.Uint64(heads) == 0 && n.Uint64(heads[pageSize:]) == 1 &&
		n.Uint16(heads[8:]) == metaPage && n.Uint16(heads[pageSize+8:]) == metaPage
	return !aGood || !bGood || !named, nil
}

// page reads a page with its overflow and takes it.
func (s *surveyor) page(id uint64) (flags uint16, page []byte, err error) {
	head := make([]byte, pageHead)
	if id < 2 || id >= s.high {
		return 0, nil, damaged("page %d is outside of the file", id)
	}
	if _, err := s.r.ReadAt(head, int64(id*s.pageSize)); err != nil {
		return 0, nil, damaged("page %d can't be read: %v", id, err)
	}
	n := binary.NativeEndian
	pages := uint64(n.Uint32(head[12:])) + 1
	if n.Uint64(head) != id || id+pages > s.high {
		return 0, nil, damaged("page %d has a bad head", id)
	}
	for i := range pages {
		if s.taken[id+i] {
			return 0, nil, damaged("page %d is used twice", id+i)
		}
		s.taken[id+i] = true
	}
	page = make([]byte, pages*s.pageSize)
	if _, err := s.r.ReadAt(page, int64(id*s.pageSize)); err != nil {
		return 0, nil, damaged("page %d can't be read: %v", id, err)
	}
	return n.Uint16(head[8:]), page, nil
}

// tree walks a bucket's pages and returns its least and greatest key; nil if it
// has none.
func (s *surveyor) tree(bucket string, id uint64) (first, last []byte) {
	flags, page, err := s.page(id)
	switch {
	case err != nil:
		s.lost(bucket, err)
	case flags == branchPage:
		return s.branch(bucket, id, page)
	case flags == leafPage:
		return s.leaf(bucket, id, page)
	default:
		s.lost(bucket, damaged("page %d has the unknown kind %#x", id, flags))
	}
	return nil, nil
}

// element is one entry of a page.
type element struct {
	key, value []byte
	child      uint64 // of a branch
	isBucket   bool   // of a leaf
}

// elements reads a page's entries. The library writes their data one after the
// other, right behind the table of entries, in the order of the keys: that
// catches a changed count, place or size. With an error come those before it.
func elements(id uint64, page []byte, branch bool) ([]element, error) {
	n := binary.NativeEndian
	count := uint64(n.Uint16(page[10:]))
	at := pageHead + pageElement*count
	es := make([]element, 0, count)
	for i := range count {
		start := pageHead + pageElement*i
		if start+pageElement > uint64(len(page)) {
			return es, damaged("page %d has more entries than room", id)
		}
		var e element
		var pos, ksize, vsize uint64
		if b := page[start:]; branch {
			pos, ksize, e.child = uint64(n.Uint32(b)), uint64(n.Uint32(b[4:])), n.Uint64(b[8:])
		} else {
			pos, ksize, vsize = uint64(n.Uint32(b[4:])), uint64(n.Uint32(b[8:])), uint64(n.Uint32(b[12:]))
			flags := n.Uint32(b)
			e.isBucket = flags == bucketElement
			if flags > bucketElement {
				return es, damaged("an entry of page %d has unknown flags", id)
			}
		}
		if start+pos != at || ksize == 0 || at+ksize+vsize > uint64(len(page)) {
			return es, damaged("an entry of page %d is misplaced", id)
		}
		e.key, e.value = page[at:at+ksize], page[at+ksize:at+ksize+vsize]
		at += ksize + vsize
		if i > 0 && bytes.Compare(es[i-1].key, e.key) >= 0 {
			return es, damaged("the keys of page %d are out of order", id)
		}
		es = append(es, e)
	}
	return es, nil
}

func (s *surveyor) branch(bucket string, id uint64, page []byte) (first, last []byte) {
	es, err := elements(id, page, true)
	if err == nil && len(es) == 0 {
		err = damaged("page %d leads nowhere", id)
	}
	for i, e := range es {
		low, high := s.tree(bucket, e.child)
		if low == nil || !bytes.Equal(low, e.key) || i > 0 && bytes.Compare(last, e.key) >= 0 {
			err = cmp.Or(err, damaged("page %d leads to the wrong keys", id))
		}
		if i == 0 {
			first = low
		}
		last = high
	}
	if err != nil {
		s.lost(bucket, err)
	}
	return first, last
}

func (s *surveyor) leaf(bucket string, id uint64, page []byte) (first, last []byte) {
	es, err := elements(id, page, false)
	if err != nil {
		s.lost(bucket, err)
	}
	for _, e := range es {
		switch {
		case bucket == "" && e.isBucket:
			s.found("", e.key, nil)
			s.bucket(string(e.key), id, e.value)
		case bucket == "":
			s.lost("", damaged("page %d holds a value outside of all buckets", id))
		case e.isBucket: // of another program; or of ours, if a bit of it is wrong
			s.bucket(bucket, id, e.value)
		default:
			s.found(bucket, e.key, e.value)
		}
	}
	if len(es) == 0 {
		return nil, nil
	}
	return es[0].key, es[len(es)-1].key
}

// bucket walks a bucket: a small one lies inside the value itself.
func (s *surveyor) bucket(name string, id uint64, value []byte) {
	n := binary.NativeEndian
	if len(value) >= bucketHead {
		root, inline := n.Uint64(value), value[bucketHead:]
		switch {
		case root != 0:
			s.tree(name, root)
			return
		case len(inline) >= pageHead && n.Uint16(inline[8:]) == leafPage:
			s.leaf(name, id, inline)
			return
		}
	}
	s.lost(name, damaged("a bucket of page %d has a bad head", id))
}

// free checks the list of free pages: together with the pages in use it names
// each page once.
func (s *surveyor) free() error {
	if s.freelist == noFreelist {
		return nil
	}
	flags, page, err := s.page(s.freelist)
	if err != nil {
		return err
	}
	n := binary.NativeEndian
	ids, count := page[pageHead:], uint64(n.Uint16(page[10:]))
	if count == 0xFFFF {
		count, ids = n.Uint64(ids), ids[8:]
	}
	if flags != freelistPage || count > uint64(len(ids)/8) {
		return damaged("the list of free pages is bad")
	}
	for i := range count {
		id := n.Uint64(ids[8*i:])
		if id < 2 || id >= s.high || s.taken[id] {
			return damaged("page %d is said to be free", id)
		}
		s.taken[id] = true
	}
	if uint64(len(s.taken)) != s.high {
		return damaged("%d pages are neither used nor free", s.high-uint64(len(s.taken)))
	}
	return nil
}

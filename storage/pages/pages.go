// Package pages reads the file of a bbolt database by hand. The library maps its
// file into memory and believes every number in it: a flipped bit of a page's number
// becomes an address, or sends it round in a circle for good, one of a count becomes
// an allocation, and the process is gone. So before the library gets to see more than
// the head of a file, every page is read here in the ordinary way, and every number
// in it is bounded.
//
// The layout is the library's, version 2 of its format, in the byte order of the
// machine (its internal/common: page.go, meta.go, inode.go).
package pages

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"io"
	"slices"
)

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
	metaTx      = 48
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

// parseMeta reads the head page of a number; its checksum doesn't cover the page's own
// head, which the library holds to that number all the same.
func parseMeta(page []byte, id uint64) (m meta, ok bool) {
	n := binary.NativeEndian
	if len(page) < pageHead+metaLen || n.Uint64(page) != id || n.Uint16(page[8:]) != metaPage {
		return m, false
	}
	b := page[pageHead : pageHead+metaLen]
	sum := fnv.New64a()
	_, _ = sum.Write(b[:metaLen-8]) // never fails
	if n.Uint32(b) != metaMagic || n.Uint32(b[4:]) != metaVersion || n.Uint64(b[56:]) != sum.Sum64() {
		return m, false
	}
	return meta{
		pageSize: uint64(n.Uint32(b[8:])),
		root:     n.Uint64(b[16:]), freelist: n.Uint64(b[32:]), high: n.Uint64(b[40:]),
		tx: n.Uint64(b[metaTx:]),
	}, true
}

// surveyor walks the pages of a file, past all that can't be, as far as that can
// be read.
type surveyor struct {
	r io.ReaderAt
	meta
	// halved: one of the head pages is bad; behind: it may be the newer one, and the
	// newest transaction is missing.
	halved, behind bool

	taken []bool   // by page: seen in the trees or as the freelist
	err   error    // the first thing that can't be
	spare [][]byte // memory of pages that are done with

	visit func(bucket string, key, value []byte)
}

func (s *surveyor) wrong(err error) {
	if s.err == nil {
		s.err = err
	}
}

// Survey visits the values of a database file, each for as long as visit takes, and
// reports the first thing in it that can't be. Page size is what the library has found the file to have. Halved: the older
// of the two head pages is bad, which hurts nobody.
func Survey(
	r io.ReaderAt, size int64, pageSize int, visit func(bucket string, key, value []byte),
) (halved bool, err error) {
	s := surveyor{r: r, visit: visit}
	if err := s.readMeta(pageSize); err != nil {
		return false, err
	}
	if s.behind {
		return false, fmt.Errorf("its newer head page is bad, the last change may be missing")
	}
	if int64(s.high) > size/int64(pageSize) {
		return s.halved, fmt.Errorf("it was cut short: %d pages are there, %d are needed", size/int64(pageSize), s.high)
	}
	s.taken = make([]bool, max(s.high, 2))
	s.taken[0], s.taken[1] = true, true
	if s.tree(s.root, ""); s.err == nil {
		s.wrong(s.free())
	}
	return s.halved, s.err
}

// Values visits the values of all pages of a damaged file that can be read, also of
// those that no tree leads to any more. Live says that a value isn't left in a free
// page, where it may have been replaced or deleted. With whole, nothing is missing but
// what was visited and is wrong.
func Values(r io.ReaderAt, size int64, pageSize int, visit func(key, value []byte, live bool)) (whole bool) {
	s := surveyor{r: r, visit: func(string, []byte, []byte) {}}
	there := uint64(size) / uint64(pageSize)
	if err := s.readMeta(pageSize); err != nil {
		s.wrong(err)
		s.meta = meta{pageSize: uint64(pageSize), high: there, freelist: noFreelist}
	} else {
		s.high = min(s.high, there)
	}
	s.taken = make([]bool, s.high)
	if s.err == nil {
		s.tree(s.root, "")
	}
	whole = s.err == nil && !s.behind
	s.leaves(visit)
	return whole
}

func (s *surveyor) readMeta(pageSize int) error {
	heads := make([]byte, 2*pageSize)
	if _, err := s.r.ReadAt(heads, 0); err != nil {
		return fmt.Errorf("its head can't be read: %v", err)
	}
	a, aGood := parseMeta(heads[:pageSize], 0)
	b, bGood := parseMeta(heads[pageSize:], 1)
	switch {
	case aGood && (!bGood || a.tx > b.tx):
		s.meta = a
	case bGood:
		s.meta = b
	default:
		return fmt.Errorf("both its head pages are bad")
	}
	if s.pageSize != uint64(pageSize) || s.high > 1<<40 {
		return fmt.Errorf("its head page makes no sense")
	}
	if s.halved = !aGood || !bGood; s.halved {
		bad := heads[:pageSize]
		if aGood {
			bad = heads[pageSize:]
		}
		// Transactions are numbered without gaps, and write the pages in turn.
		s.behind = binary.NativeEndian.Uint64(bad[pageHead+metaTx:])+1 != s.tx
	}
	return nil
}

// page reads a page with its overflow and takes it.
func (s *surveyor) page(id uint64) (flags uint16, page []byte, err error) {
	if id < 2 || id >= s.high {
		return 0, nil, fmt.Errorf("page %d is outside of the file", id)
	}
	if n := len(s.spare); n > 0 {
		page, s.spare = s.spare[n-1], s.spare[:n-1]
	} else {
		page = make([]byte, s.pageSize)
	}
	if _, err := s.r.ReadAt(page, int64(id*s.pageSize)); err != nil {
		return 0, nil, fmt.Errorf("page %d can't be read: %v", id, err)
	}
	n := binary.NativeEndian
	pages := uint64(n.Uint32(page[12:])) + 1
	if n.Uint64(page) != id || id+pages > s.high {
		return 0, nil, fmt.Errorf("page %d has a bad head", id)
	}
	for i := range pages {
		if s.taken[id+i] {
			return 0, nil, fmt.Errorf("page %d is used twice", id+i)
		}
		s.taken[id+i] = true
	}
	if pages > 1 {
		page = append(page, make([]byte, (pages-1)*s.pageSize)...)
		if _, err := s.r.ReadAt(page[s.pageSize:], int64((id+1)*s.pageSize)); err != nil {
			return 0, nil, fmt.Errorf("page %d can't be read: %v", id, err)
		}
	}
	return n.Uint16(page[8:]), page, nil
}

// tree walks a bucket's pages, or those of the list of buckets, which has no name, and
// returns the least and the greatest key; nil if there is none.
func (s *surveyor) tree(id uint64, bucket string) (first, last []byte) {
	flags, page, err := s.page(id)
	if err == nil && flags != branchPage && flags != leafPage {
		err = fmt.Errorf("page %d has the unknown kind %#x", id, flags)
	}
	if err != nil {
		s.wrong(err)
		return nil, nil
	}
	first, last = s.entries(id, page, flags == branchPage, bucket)
	first, last = bytes.Clone(first), bytes.Clone(last)
	if uint64(len(page)) == s.pageSize {
		s.spare = append(s.spare, page)
	}
	return first, last
}

// element is one entry of a page.
type element struct {
	key, value []byte
	child      uint64 // of a branch
	isBucket   bool   // of a leaf
}

// elements reads a page's entries. The library writes their data one after the
// other, right behind the table of entries, in the order of the keys: that
// catches a changed count, place or size. With an error come those entries that
// lie inside the page all the same.
func elements(id uint64, page []byte, branch bool) (es []element, err error) {
	n := binary.NativeEndian
	count := uint64(n.Uint16(page[10:]))
	at := pageHead + pageElement*count
	es = make([]element, 0, min(count, uint64(len(page)/pageElement)))
	for i := range count {
		start := pageHead + pageElement*i
		if start+pageElement > uint64(len(page)) {
			return es, fmt.Errorf("page %d has more entries than room", id)
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
				err = cmp.Or(err, fmt.Errorf("an entry of page %d has unknown flags", id))
			}
		}
		key := start + pos
		end := key + ksize + vsize
		if key != at || ksize == 0 || end > uint64(len(page)) {
			err = cmp.Or(err, fmt.Errorf("an entry of page %d is misplaced", id))
		}
		if ksize == 0 || end > uint64(len(page)) {
			continue
		}
		e.key, e.value = page[key:key+ksize], page[key+ksize:end]
		if at = end; len(es) > 0 && bytes.Compare(es[len(es)-1].key, e.key) >= 0 {
			err = cmp.Or(err, fmt.Errorf("the keys of page %d are out of order", id))
		}
		es = append(es, e)
	}
	return es, err
}

// entries walks what a page leads to.
func (s *surveyor) entries(id uint64, page []byte, branch bool, bucket string) (first, last []byte) {
	es, err := elements(id, page, branch)
	if branch && err == nil && len(es) == 0 {
		err = fmt.Errorf("page %d leads nowhere", id)
	}
	for i, e := range es {
		low, high := e.key, e.key
		switch {
		case branch:
			if low, high = s.tree(e.child, bucket); !bytes.Equal(low, e.key) || i > 0 && bytes.Compare(last, e.key) >= 0 {
				err = cmp.Or(err, fmt.Errorf("page %d leads to the wrong keys", id))
			}
		case e.isBucket: // one inside another is none of ours, but for a bit that is wrong
			s.bucket(id, string(e.key), e.value)
		case bucket == "":
			err = cmp.Or(err, fmt.Errorf("page %d holds a value outside of all buckets", id))
		default:
			s.visit(bucket, e.key, e.value)
		}
		if i == 0 {
			first = low
		}
		last = high
	}
	s.wrong(err)
	return first, last
}

// bucket walks a bucket: a small one lies inside the value itself.
func (s *surveyor) bucket(id uint64, name string, value []byte) {
	root, inline, ok := parseBucket(value)
	switch {
	case ok && root != 0:
		s.tree(root, name)
	case ok && inline != nil:
		s.entries(id, inline, false, name)
	default:
		s.wrong(fmt.Errorf("a bucket of page %d has a bad head", id))
	}
}

// parseBucket reads where a bucket begins: a page's number, or the page itself.
func parseBucket(value []byte) (root uint64, inline []byte, ok bool) {
	if len(value) < bucketHead {
		return 0, nil, false
	}
	n := binary.NativeEndian
	root, inline = n.Uint64(value), value[bucketHead:]
	if len(inline) < pageHead || n.Uint16(inline[8:]) != leafPage {
		inline = nil
	}
	return root, inline, true
}

// free checks the list of free pages: together with the pages in use it names
// each page once.
func (s *surveyor) free() error {
	ids, err := s.freePages()
	if err != nil || s.freelist == noFreelist {
		return err
	}
	for id := range ids {
		if id < 2 || id >= s.high || s.taken[id] {
			return fmt.Errorf("page %d is said to be free", id)
		}
		s.taken[id] = true
	}
	if id := slices.Index(s.taken, false); id >= 0 {
		return fmt.Errorf("page %d is neither used nor free", id)
	}
	return nil
}

// freePages reads the list of free pages.
func (s *surveyor) freePages() (ids map[uint64]bool, err error) {
	if s.freelist == noFreelist {
		return nil, nil
	}
	flags, page, err := s.page(s.freelist)
	if err != nil {
		return nil, err
	}
	n := binary.NativeEndian
	list, count := page[pageHead:], uint64(n.Uint16(page[10:]))
	if count == 0xFFFF {
		count, list = n.Uint64(list), list[8:]
	}
	if flags != freelistPage || count > uint64(len(list)/8) {
		return nil, fmt.Errorf("the list of free pages is bad")
	}
	ids = map[uint64]bool{}
	for i := range count {
		ids[n.Uint64(list[8*i:])] = true
	}
	return ids, nil
}

// leaves visits the values of all leaf pages.
func (s *surveyor) leaves(visit func(key, value []byte, live bool)) {
	live := slices.Clone(s.taken)
	if free, err := s.freePages(); err == nil && s.freelist != noFreelist {
		for id := range s.high {
			live[id] = live[id] || !free[id]
		}
	}
	n, head := binary.NativeEndian, make([]byte, pageHead)
	for id := range s.high {
		_, err := s.r.ReadAt(head, int64(id*s.pageSize))
		length := (uint64(n.Uint32(head[12:])) + 1) * s.pageSize
		if err != nil || n.Uint16(head[8:]) != leafPage || length > (s.high-id)*s.pageSize {
			continue
		}
		page := make([]byte, length)
		if _, err := s.r.ReadAt(page, int64(id*s.pageSize)); err == nil {
			visitLeaf(page, func(key, value []byte) { visit(key, value, live[id]) })
		}
	}
}

// visitLeaf visits the values of a leaf page, and those of buckets inside it.
func visitLeaf(page []byte, visit func(key, value []byte)) {
	es, _ := elements(0, page, false) // as far as it can be read
	for _, e := range es {
		if _, inline, _ := parseBucket(e.value); e.isBucket && inline != nil {
			visitLeaf(inline, visit)
		} else if !e.isBucket {
			visit(e.key, e.value)
		}
	}
}

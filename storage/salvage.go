package storage

import (
	"encoding/binary"
	"errors"
	"os"
	"slices"
)

// A damaged database is mostly whole: what its good pages hold is newer than
// any backup. salvage reads them in the ordinary way, page by page, and keeps
// each value that matches its checksum.
type salvage struct {
	surveyor
	found map[string][]pair
	// lost are the buckets, by name, of which something could not be read; the
	// name "" is the list of buckets itself.
	lost map[string]bool
}

type pair struct{ key, value []byte }

// salvageFile collects what can be read of a damaged database with pages of
// that size. A file that isn't one holds nothing.
func salvageFile(path string, pageSize int) (*salvage, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	g := &salvage{
		surveyor: surveyor{r: f, taken: map[uint64]bool{}},
		found:    map[string][]pair{}, lost: map[string]bool{},
	}
	if _, err := g.readMeta(pageSize); err != nil {
		g.lost[""] = true
		return g, nil
	}
	g.high = min(g.high, uint64(info.Size())/g.pageSize)
	g.tree("", g.root)
	return g, g.refuseNewer()
}

// refuseNewer leaves a newer schema to the skyslate that knows it.
func (g *salvage) refuseNewer() error {
	for _, p := range g.found[inMeta] {
		if h, err := decode[header](inMeta, p.key, p.value); err == nil && h.Schema > schema {
			return tooNew(h.Schema)
		}
	}
	return nil
}

// tree collects from a page and those beneath it.
func (g *salvage) tree(bucket string, id uint64) {
	flags, page, err := g.page(id)
	if err != nil || (flags != branchPage && flags != leafPage) {
		g.lost[bucket] = true
		return
	}
	g.entries(bucket, id, page, flags == branchPage)
}

// entries collects from what can be read of a page.
func (g *salvage) entries(bucket string, id uint64, page []byte, branch bool) {
	es, err := elements(id, page, branch)
	if err != nil {
		g.lost[bucket] = true
	}
	for _, e := range es {
		if branch {
			g.tree(bucket, e.child)
		} else {
			g.entry(bucket, e)
		}
	}
}

func (g *salvage) entry(bucket string, e element) {
	switch {
	case bucket == "" && e.isBucket:
		g.bucket(string(e.key), e.value)
	case bucket == "" || e.isBucket:
		g.lost[bucket] = true
	default:
		if _, err := unseal(bucket, e.key, e.value); err != nil {
			g.lost[bucket] = true
			return
		}
		g.found[bucket] = append(g.found[bucket], pair{e.key, e.value})
	}
}

func (g *salvage) bucket(name string, value []byte) {
	if len(value) < bucketHead {
		g.lost[name] = true
		return
	}
	g.found[name] = []pair{}
	if root := binary.NativeEndian.Uint64(value); root != 0 {
		g.tree(name, root)
		return
	}
	if inline := value[bucketHead:]; len(inline) >= pageHead {
		g.entries(name, 0, inline, false)
	} else {
		g.lost[name] = true
	}
}

// whole reports whether all of a bucket was read.
func (g *salvage) whole(name string) bool {
	return g.found[name] != nil && !g.lost[name] && !g.lost[""]
}

// values is how many there are.
func (g *salvage) values() (n int) {
	for _, name := range recordNames() {
		n += len(g.found[name])
	}
	return n
}

// takeOver puts what was salvaged over what is there, an older copy: it takes
// the place of a bucket that is whole, and joins one that isn't.
func (t tx) takeOver(g *salvage) error {
	h, err := t.header()
	if err != nil {
		return err
	}
	if err := t.migrate(h.Schema); err != nil { // an old backup
		return err
	}
	for _, name := range recordNames() {
		if g.whole(name) {
			if err := t.empty(name); err != nil {
				return err
			}
		}
		for _, p := range g.found[name] {
			if err := t.in(name).Put(p.key, p.value); err != nil {
				return err
			}
		}
	}
	return errors.Join(
		// An older copy still has in the inbox what was worked since.
		deleteWhere(t.in(inInbox), func(_ []byte, r Raw) bool { return t.in(inSeen).Get(textKey(r.ID)) != nil }),
		t.reindex(),
	)
}

func (t tx) empty(name string) error {
	if err := t.DeleteBucket([]byte(name)); err != nil {
		return err
	}
	_, err := t.CreateBucket([]byte(name))
	return err
}

// reindex makes all indexes anew from what they point to.
func (t tx) reindex() error {
	if err := each(indexNames(), t.empty); err != nil {
		return err
	}
	return errors.Join(
		scan(t.in(inInbox), nil, func(k []byte, r Raw) (bool, error) {
			return true, put(t.in(inInboxByID), textKey(r.ID), lastUint(k))
		}),
		passRecords.reindex(t),
		messageRecords.reindex(t),
		itemRecords.reindex(t),
		eachWhere(t.in(inContacts), t.isLatest, t.indexContact),
		t.reindexPosts(),
	)
}

// reindexPosts numbers the queue anew: two copies may have given a place twice.
func (t tx) reindexPosts() error {
	var owed []outPost
	err := scan(t.in(inPosts), nil, func(_ []byte, p outPost) (bool, error) {
		if p.owed() {
			owed = append(owed, p)
		} else if p.out() {
			return true, t.indexPost(p)
		}
		return true, nil
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(owed, func(a, b outPost) int { return int(int64(a.Seq - b.Seq)) })
	for i, p := range owed {
		p.Seq = uint64(i + 1)
		if err := errors.Join(put(t.in(inOwed), uintKey(p.Seq), p.Name), t.putPost(p)); err != nil {
			return err
		}
	}
	return nil
}

// addTo adds what was salvaged to a sound database.
func (g *salvage) addTo(path string) error {
	if g.values() == 0 {
		return nil
	}
	return updateFile(path, func(t tx) error { return t.takeOver(g) })
}

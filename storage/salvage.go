package storage

import (
	"cmp"
	"os"
	"slices"
)

// A damaged database is mostly whole: what its good pages hold is newer than
// any backup. salvage keeps each of its values that matches its checksum.
type salvage struct {
	found map[string][]pair
	// lost are the buckets, by name, of which something could not be read; the
	// name "" is the list of buckets itself.
	lost map[string]bool
}

type pair struct{ key, value []byte }

// salvageFile collects what can be read of a damaged database with pages of
// that size. A file that isn't one holds nothing. A newer schema is left to the
// skyslate that knows it.
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
	g := &salvage{found: map[string][]pair{}, lost: map[string]bool{}}
	s := surveyor{r: f, taken: map[uint64]bool{}, found: g.take, lost: func(b string, _ error) { g.lost[b] = true }}
	if _, err := s.readMeta(pageSize); err != nil {
		g.lost[""] = true
		return g, nil
	}
	s.high = min(s.high, uint64(info.Size())/s.pageSize)
	s.tree("", s.root)
	for _, p := range g.found[inMeta] {
		if h, err := decode[header](inMeta, p.key, p.value); err == nil && h.Schema > schema {
			return g, tooNew(h.Schema)
		}
	}
	return g, nil
}

func (g *salvage) take(bucket string, key, value []byte) {
	if bucket == "" {
		g.found[string(key)] = []pair{}
	} else if _, err := unseal(bucket, key, value); err != nil {
		g.lost[bucket] = true
	} else {
		g.found[bucket] = append(g.found[bucket], pair{key, value})
	}
}

// whole reports whether all of a bucket was read.
func (g *salvage) whole(name string) bool {
	return g.found[name] != nil && !g.lost[name] && !g.lost[""]
}

// values is how many there are.
func (g *salvage) values() (n int) {
	for _, name := range recordNames {
		n += len(g.found[name])
	}
	return n
}

// takeOver puts what was salvaged over what is there, an older copy: it takes
// the place of a bucket that is whole, and joins one that isn't.
func (t *tx) takeOver(g *salvage) {
	h := t.header()
	if t.err != nil {
		return
	}
	t.migrate(h.Schema) // the older copy may be of an older schema
	for _, name := range recordNames {
		if g.whole(name) {
			t.empty(name)
		}
		for _, p := range g.found[name] {
			t.in(name).putRaw(p.key, p.value)
		}
	}
	// An older copy still has in the inbox what was worked since.
	deleteWhere(t.in(inInbox), func(_ []byte, r Raw) bool { return t.in(inSeen).has(textKey(r.ID)) })
	// The queue is numbered anew: two copies may have given a place twice.
	owed := slices.DeleteFunc(all[outPost](t.in(inPosts), nil), func(p outPost) bool { return !p.owed() })
	slices.SortStableFunc(owed, func(a, b outPost) int { return cmp.Compare(a.Seq, b.Seq) })
	for i, p := range owed {
		p.Seq = uint64(i + 1)
		t.putPost(p)
	}
	t.reindex()
}

func (t *tx) empty(name string) {
	t.fail(t.DeleteBucket([]byte(name)))
	_, err := t.CreateBucket([]byte(name))
	t.fail(err)
}

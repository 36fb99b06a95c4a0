package storage

import (
	"bytes"
	"cmp"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"

	"skyslate/storage/block"
	"skyslate/storage/pages"
)

// A damaged database is mostly whole, and newer than any backup: what came in and
// waits, messages and what is owed stand in no journal. So each of its values that
// matches its checksum is kept; the checksum tells the bucket, too. The library
// can't be asked for them: see package pages.
type salvage struct {
	values map[string]map[string]saved // by bucket and key
	torn   bool                        // pages could not be read: anything may be missing
	hurt   [][]byte                    // the keys of values that don't match their checksums
}

func newSalvage() *salvage {
	return &salvage{values: map[string]map[string]saved{}}
}

// saved is a value; one that isn't live may be out of date.
type saved struct {
	value []byte
	live  bool
}

// lasting are the buckets whose values are never deleted and only ever grow: of
// several under one key the longest is the newest.
var lasting = []string{inContacts, inMessages, inSteps, inSittings, inNames}

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
	g := newSalvage()
	g.torn = !pages.Values(f, info.Size(), pageSize, g.take)
	var head header
	if err := json.Unmarshal(g.values[inMeta][headerKey].value, &head); err == nil && head.Schema > schema {
		return g, tooNew(head.Schema)
	}
	return g, nil
}

func (g *salvage) take(key, value []byte, live bool) {
	for _, name := range bucketNames {
		entries, err := block.Read(name, key, value)
		if err != nil {
			continue
		}
		if g.values[name] == nil {
			g.values[name] = map[string]saved{}
		}
		for _, e := range entries {
			if v := (saved{bytes.Clone(e.Value), live}); v.over(name, g.values[name][string(e.Key)]) {
				g.values[name][string(e.Key)] = v
			}
		}
		return
	}
	if live {
		g.hurt = append(g.hurt, bytes.Clone(key))
	}
}

// over reports whether a value holds over another of the same key.
func (v saved) over(bucket string, old saved) bool {
	switch {
	case old.value == nil:
		return v.live || slices.Contains(lasting, bucket) || bucket == inOperators // any settings rather than none
	case slices.Contains(lasting, bucket) && v.live == old.live:
		return len(v.value) > len(old.value)
	}
	return v.live && !old.live
}

// known is what the database knew of its newest backup.
func (g *salvage) known() backup {
	var b backup
	_ = json.Unmarshal(g.values[inMeta][backupKey].value, &b) // or nothing
	return b
}

// demote makes all values give way to what is there: the database was an older copy.
func (g *salvage) demote() {
	g.torn = true
	for _, values := range g.values {
		for k, v := range values {
			values[k] = saved{v.value, false}
		}
	}
}

// count is how many values there are.
func (g *salvage) count() (n int) {
	for _, name := range recordNames {
		n += len(g.values[name])
	}
	return n
}

// salvageBackups finds the newest good backup of the store in dir, empty if there
// is none, and collects what can be read of the damaged ones after it, the oldest
// first. The database at own, unless that is empty, is good and one of them. Of a
// good one its own word counts, not its name.
func salvageBackups(dir, own string) (good string, newer []*salvage) {
	good = own
	known, _ := backupIn(own) // none is known of none
	for _, p := range backups(filepath.Join(dir, backupsName)) {
		named, _ := backupTime(p)
		if !named.After(known.Made) {
			break
		}
		if _, err := examine(p); err == nil {
			b, _ := backupIn(p)
			if made := cmp.Or(b.Made, named); made.After(known.Made) {
				good, known.Made = p, made
			}
		} else if g, err := salvageFile(p, os.Getpagesize()); err == nil {
			newer = append(newer, g)
		}
	}
	slices.Reverse(newer)
	return good, newer
}

// takeOver joins what was salvaged to what is there, an older copy.
func (t mender) takeOver(g *salvage) {
	for _, name := range recordNames {
		b := t.in(name)
		for k, v := range g.values[name] {
			if v.over(name, saved{b.Get([]byte(k)), false}) {
				b.Put([]byte(k), v.value)
			}
		}
	}
	t.takeOverKept(g)
	// An older copy still has in the inbox and on the agenda what was worked since.
	deleteWhere(t.in(inInbox), nil, func(_ []byte, r Raw) bool { return t.in(inSeen).Has(textKey(r.ID)) })
	deleteWhere(t.in(inAgenda), nil, func(_ []byte, i Item) bool { return t.in(inSeen).Has(textKey(i.Event())) })
	// The queue is numbered anew: two copies may have given a place twice.
	owed := slices.DeleteFunc(all[outPost](t.in(inPosts), nil), func(p outPost) bool { return !p.owed() })
	slices.SortStableFunc(owed, func(a, b outPost) int { return cmp.Compare(a.Seq, b.Seq) })
	for i, p := range owed {
		p.Seq = uint64(i + 1)
		t.putPost(p)
	}
	t.reindex()
	t.noteLost(g)
}

func (t *tx) empty(name string) {
	delete(t.buckets, name)
	t.fail(t.DeleteBucket([]byte(name)))
	_, err := t.CreateBucket([]byte(name))
	t.fail(err)
}

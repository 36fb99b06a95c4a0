package block

import (
	"bytes"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"testing"

	bolt "go.etcd.io/bbolt"
	"pgregory.net/rapid"
)

// scratch is a database with one bucket.
type scratch struct {
	db    *bolt.DB
	shape Shape
}

func newScratch(t testing.TB, shape Shape) scratch {
	t.Helper()
	db, err := bolt.Open(filepath.Join(t.TempDir(), "db"), 0o600, &bolt.Options{NoSync: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	if err := db.Update(func(tx *bolt.Tx) error {
		_, err := tx.CreateBucket([]byte("log"))
		return err
	}); err != nil {
		t.Fatal(err)
	}
	return scratch{db, shape}
}

func (s scratch) update(t fataler, fn func(b *Bucket)) {
	t.Helper()
	if err := s.db.Update(func(tx *bolt.Tx) (err error) {
		b := New(tx, "log", s.shape, &err)
		fn(b)
		b.Flush()
		return err
	}); err != nil {
		t.Fatalf("%v", err)
	}
}

type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

// Whatever the shape and the order of changes, a bucket holds what a map does, in the
// order of the keys, in each range and in both directions.
func TestBucketIsASortedMap(t *testing.T) {
	for _, shape := range []Shape{Single, ByFirst, Any} {
		t.Run(fmt.Sprint(shape), func(t *testing.T) {
			rapid.Check(t, func(r *rapid.T) {
				s, want := newScratch(t, shape), map[string]string{}
				for range rapid.IntRange(1, 6).Draw(r, "transactions") {
					s.update(r, func(b *Bucket) {
						for range rapid.IntRange(1, 40).Draw(r, "changes") {
							change(r, b, want)
						}
						compare(r, b, want)
					})
				}
				s.update(r, func(b *Bucket) { compare(r, b, want) })
			})
		})
	}
}

func drawKey(r *rapid.T) string {
	op := rapid.SampledFrom([]string{"7", "70", "8"}).Draw(r, "operator")
	return op + "\x00" + fmt.Sprintf("%02d", rapid.IntRange(0, 40).Draw(r, "number"))
}

func change(r *rapid.T, b *Bucket, want map[string]string) {
	key := drawKey(r)
	if rapid.IntRange(0, 3).Draw(r, "kind") == 0 {
		b.Delete([]byte(key))
		delete(want, key)
		return
	}
	value := string(bytes.Repeat([]byte{byte(len(want))}, rapid.SampledFrom([]int{0, 10, 2000, 9000}).Draw(r, "length")))
	b.Put([]byte(key), []byte(value))
	want[key] = value
}

func compare(r *rapid.T, b *Bucket, want map[string]string) {
	from, end := []byte(drawKey(r)), []byte(drawKey(r))
	switch rapid.IntRange(0, 2).Draw(r, "range") {
	case 0:
		from, end = nil, nil
	case 1:
		from, end = []byte("70\x00"), []byte("70\x01")
	}
	var keys, up, down []string
	for _, k := range slices.Sorted(maps.Keys(want)) {
		if got := b.Get([]byte(k)); got == nil || string(got) != want[k] {
			r.Fatalf("%q is %.20q, want %.20q", k, got, want[k])
		}
		if k >= string(from) && (end == nil || k < string(end)) {
			keys = append(keys, k)
		}
	}
	for k := range b.Up(from, end) {
		up = append(up, string(k))
	}
	for k := range b.Down(from, end) {
		down = append(down, string(k))
	}
	slices.Reverse(down)
	if !slices.Equal(up, keys) || !slices.Equal(down, keys) {
		r.Fatalf("%q to %q: up %q\ndown %q\nwant %q", from, end, up, down, keys)
	}
}

// A run is of one operator, where operators are kept apart, and no longer than a
// page or two, unless it is one entry.
func TestRuns(t *testing.T) {
	s := newScratch(t, ByFirst)
	s.update(t, func(b *Bucket) {
		for n := range 2000 {
			b.Put(fmt.Appendf(nil, "%d\x00%05d", n%3, n), bytes.Repeat([]byte("log "), 25))
		}
	})
	if err := s.db.View(func(tx *bolt.Tx) error {
		return tx.Bucket([]byte("log")).ForEach(func(k, v []byte) error {
			entries, err := Read("log", k, v)
			if err != nil || !bytes.Equal(entries[0].Key, k) || len(entries) > most/100 {
				t.Errorf("%q: %d entries, %v", k, len(entries), err)
			}
			for _, e := range entries {
				if e.Key[0] != k[0] {
					t.Errorf("%q holds %q", k, e.Key)
				}
			}
			return nil
		})
	}); err != nil {
		t.Fatal(err)
	}
}

// Single entries of an older layout read as they are, and the same when packed, a few
// at a time.
func TestPack(t *testing.T) {
	s, want := newScratch(t, ByFirst), map[string]string{}
	s.update(t, func(b *Bucket) {
		for n := range 300 {
			k, v := fmt.Sprintf("%d\x00%05d", n%3, n), fmt.Sprint("value ", n)
			want[k] = v
			if err := b.in.Put([]byte(k), Seal("log", []byte(k), []byte(v))); err != nil {
				t.Fatal(err)
			}
		}
	})
	check := func() {
		t.Helper()
		s.update(t, func(b *Bucket) {
			got := map[string]string{}
			for k, v := range b.Up(nil, nil) {
				got[string(k)] = string(v)
			}
			if !maps.Equal(got, want) {
				t.Fatalf("%d entries, want %d", len(got), len(want))
			}
		})
	}
	check()
	for next := []byte{}; next != nil; {
		s.update(t, func(b *Bucket) { next = b.Pack(next, 70) })
		check()
	}
	s.update(t, func(b *Bucket) {
		if n := b.in.Stats().KeyN; n > 10 {
			t.Errorf("there are still %d values", n)
		}
	})
}

// An envelope opens to what was sealed, under its own key alone, and one changed bit
// anywhere is noticed. Text that isn't a run is no entry, and no panic.
func FuzzRead(f *testing.F) {
	f.Add([]byte("contacts\x00"), []byte(`{"id":1}`), uint(0))
	f.Add([]byte{1}, []byte{}, uint(39))
	f.Add([]byte("k"), []byte("\x00\xff"), uint(8))
	f.Add([]byte("k"), []byte("\x03\x0c\x00\x01\x01"), uint(8))
	f.Add([]byte("k"), []byte("\xff\xff\xff\xff\x0fk"), uint(8)) // says: four gigabytes
	f.Fuzz(func(t *testing.T, key, payload []byte, bit uint) {
		sealed := Seal("contacts", key, payload)
		got, err := Read("contacts", key, sealed)
		if err != nil || !bytes.Equal(got[0].Value, payload) {
			t.Fatalf("read: %q %v", got, err)
		}
		if _, err := Read("contacts", append([]byte("x"), key...), sealed); err == nil {
			t.Error("it opens under another key")
		}
		if _, err := Read("messages", key, sealed); err == nil {
			t.Error("it opens in another bucket")
		}
		bit %= uint(len(sealed)) * 8
		sealed[bit/8] ^= 1 << (bit % 8)
		if got, err := Read("contacts", key, sealed); err == nil {
			t.Errorf("bit %d flipped: %q", bit, got)
		}
		b := Bucket{name: "contacts", shape: Any}
		entries, err := Read("contacts", key, envelope(runVersion, "contacts", key, payload))
		if err != nil {
			return
		}
		again, err := Read("contacts", key, b.format(&run{at: key, entries: entries}))
		if err != nil || !slices.EqualFunc(entries, again, Entry.is) {
			t.Errorf("%q reads as %q, then as %q: %v", payload, entries, again, err)
		}
	})
}

func (e Entry) is(other Entry) bool {
	return bytes.Equal(e.Key, other.Key) && bytes.Equal(e.Value, other.Value)
}

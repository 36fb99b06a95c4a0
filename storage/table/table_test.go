package table

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"testing"

	bolt "go.etcd.io/bbolt"

	"skyslate/storage/block"
	"skyslate/storage/keys"
)

var layout = Layout{"numbers": block.Any}

// update runs fn in a transaction on a new database with a bucket of numbers.
func update(t *testing.T, fn func(*Tx)) error {
	t.Helper()
	db, err := bolt.Open(filepath.Join(t.TempDir(), "table.db"), 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	return db.Update(layout.With(func(x *Tx) {
		x.Create("numbers")
		fn(x)
	}))
}

func TestEntries(t *testing.T) {
	err := update(t, func(x *Tx) {
		b := x.In("numbers")
		for n := range 5 {
			b.Set(fmt.Append(nil, "a", n), n)
		}
		b.Set([]byte("b"), "<&>")
		b.Mark([]byte("c"))
		if got := string(b.Get([]byte("b"))); got != `"<&>"` {
			t.Errorf("stored: %s", got)
		}
		if k, _ := b.Last([]byte("a")); string(k) != "a4" {
			t.Errorf("last: %q", k)
		}
		if k, _ := b.Last([]byte("d")); k != nil {
			t.Errorf("last of nothing: %q", k)
		}
		DeleteWhere(b, []byte("a"), func(_ []byte, n int) bool { return n%2 == 1 })
		if ns := All[int](b, []byte("a")); !slices.Equal(ns, []int{0, 2, 4}) {
			t.Errorf("left: %v", ns)
		}
		if n := b.DeleteWith([]byte("a"), 2); n != 2 {
			t.Errorf("removed %d", n)
		}
		if n := b.DeleteWith(nil, 0); n != 3 {
			t.Errorf("removed %d", n)
		}
	})
	if err != nil {
		t.Error(err)
	}
}

func TestSame(t *testing.T) {
	type value struct{ A, B []int }
	for name, c := range map[string]struct {
		a, b any
		want bool
	}{
		"equal":          {value{A: []int{1}}, value{A: []int{1}}, true},
		"different":      {value{A: []int{1}}, value{B: []int{1}}, false},
		"not to be kept": {func() {}, func() {}, false},
	} {
		if got := Same(c.a, c.b); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// The first error is the outcome, and makes nothing of all that follows.
func TestFirstErrorStays(t *testing.T) {
	first := errors.New("first")
	for name, c := range map[string]struct {
		fail func(*Tx)
		want error
	}{
		"told":           {func(x *Tx) { x.Fail(first) }, first},
		"unreadable":     {func(x *Tx) { Get[bool](x.In("numbers"), []byte("1")) }, block.ErrDamaged},
		"not to be read": {func(x *Tx) { All[bool](x.In("numbers"), nil) }, block.ErrDamaged},
	} {
		err := update(t, func(x *Tx) {
			x.In("numbers").Set([]byte("1"), 1)
			c.fail(x)
			x.Fail(errors.New("second"))
			x.In("numbers").Set([]byte("2"), 2)
			if _, ok := Get[int](x.In("numbers"), []byte("1")); ok || x.In("numbers").Has([]byte("2")) {
				t.Errorf("%s: it goes on", name)
			}
		})
		if !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A bucket that is missing is empty, and is used as soon as it is made.
func TestBucketsComeAndGo(t *testing.T) {
	err := update(t, func(x *Tx) {
		if x.In("more").Has([]byte("1")) {
			t.Error("a missing bucket holds something")
		}
		x.Create("more")
		x.In("more").Set([]byte("1"), 1)
		x.Drop("more")
		if names := x.Names(); !slices.Equal(names, []string{"numbers"}) {
			t.Errorf("buckets: %q", names)
		}
	})
	if err != nil {
		t.Error(err)
	}
}

// What is not wanted goes, in transactions that are short; what became wanted in the
// meantime stays.
func TestSweep(t *testing.T) {
	db, err := bolt.Open(filepath.Join(t.TempDir(), "table.db"), 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	read := func(fn func(*Tx)) error { return db.View(layout.With(fn)) }
	update := func(fn func(*Tx)) error { return db.Update(layout.With(fn)) }
	const many = readAtOnce*2 + 10
	err = update(func(x *Tx) {
		x.Create("numbers")
		for n := range uint64(many) {
			x.In("numbers").Set(keys.Uint(n), n)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	updates, removed := 0, 0
	counted := func(fn func(*Tx)) error {
		if updates++; updates == 1 {
			err := update(func(x *Tx) { x.In("numbers").Set(keys.Uint(1), 2) })
			if err != nil {
				return err
			}
		}
		return update(fn)
	}
	isOdd := func(_ *Tx, _ []byte, n uint64) bool { return n%2 == 1 }
	err = Sweep(read, counted, "numbers", isOdd, func(x *Tx, k []byte, _ uint64) {
		removed++
		x.In("numbers").Delete(k)
	})
	if err != nil || removed != many/2-1 || updates < removed/removedAtOnce {
		t.Errorf("removed %d in %d updates: %v", removed, updates, err)
	}
	if err := Sweep(read, update, "numbers", func(*Tx, []byte, uint64) bool { return true }, nil); err != nil {
		t.Error(err)
	}
	err = read(func(x *Tx) {
		if ns := All[uint64](x.In("numbers"), nil); len(ns) > 0 {
			t.Errorf("left: %v", ns)
		}
	})
	if err != nil {
		t.Error(err)
	}
	refused := errors.New("refused")
	if err := Sweep(func(func(*Tx)) error { return refused }, update, "numbers", isOdd, nil); err != refused {
		t.Errorf("where nothing can be read: %v", err)
	}
}

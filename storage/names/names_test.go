package names

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
	"pgregory.net/rapid"

	"skyslate/storage/block"
)

// table runs fn on a table in a transaction of its own.
func table(t testing.TB, db *bolt.DB, fn func(Table)) {
	t.Helper()
	err := db.Update(func(tx *bolt.Tx) error {
		var err error
		b := map[string]*block.Bucket{}
		for _, name := range []string{"names", "numbers"} {
			if _, err := tx.CreateBucketIfNotExists([]byte(name)); err != nil {
				return err
			}
			b[name] = block.New(tx, name, block.ByFirst, &err)
		}
		fn(Table{Names: b["names"], Numbers: b["numbers"]})
		b["names"].Flush()
		b["numbers"].Flush()
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func database(t *testing.T) *bolt.DB {
	db, err := bolt.Open(filepath.Join(t.TempDir(), "db"), 0o600, &bolt.Options{NoSync: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// Whatever clocks say, an operator's numbers grow, tell the sides apart, lead to their
// names and back, and don't change.
func TestNumbersGrow(t *testing.T) {
	db := database(t)
	round := 0
	rapid.Check(t, func(r *rapid.T) {
		round++
		at := time.Date(2027, 5, 23, 10, 42, 0, 0, time.UTC)
		last, known := map[string]int64{}, map[string]int64{}
		for range rapid.IntRange(1, 20).Draw(r, "messages") {
			at = at.Add(time.Duration(rapid.IntRange(-5000, 5000).Draw(r, "ms")) * time.Millisecond)
			op := fmt.Sprint(round, rapid.SampledFrom([]string{"@a:x", "@a:xy"}).Draw(r, "operator"), "\x00")
			name := rapid.StringMatching(`\$[a-c]{1,2}`).Draw(r, "name")
			by := rapid.SampledFrom([]Side{Ours, Theirs}).Draw(r, "side")
			table(t, db, func(tb Table) {
				n := tb.Give([]byte(op), name, by, at)
				switch before, old := known[op+name]; {
				case old && n != before:
					r.Fatalf("%q had the number %d and has %d", name, before, n)
				case old:
				case n <= last[op] || n < at.UnixMilli() || n&1 != int64(by):
					r.Fatalf("%q of side %d got %d after %d at %d", name, by, n, last[op], at.UnixMilli())
				default:
					known[op+name], last[op] = n, n
				}
				if back := tb.Name([]byte(op), n); back != name || tb.Number([]byte(op), name) != n {
					r.Fatalf("%d of %q has the name %q", n, name, back)
				}
			})
		}
	})
}

// An app's own numbers are names, in no table; what has no name has no number.
func TestNumberedApps(t *testing.T) {
	table(t, database(t), func(tb Table) {
		op := []byte("7\x00")
		for name, want := range map[string]int64{"12": 12, "-3": -3, "": 0, "$unknown": 0, "007": 0} {
			if n := tb.Number(op, name); n != want {
				t.Errorf("%q has the number %d, want %d", name, n, want)
			}
		}
		if n := tb.Give(op, "12", Ours, time.Time{}); n != 12 || tb.Name(op, 12) != "12" || tb.Name(op, 0) != "" {
			t.Errorf("12 is %d, and %d is %q", n, 12, tb.Name(op, 12))
		}
		for range tb.Names.Up(nil, nil) {
			t.Error("a number stands in the table")
		}
		n := tb.Give(op, "$one", Theirs, time.UnixMilli(-5))
		if n != 1 || tb.Number(op, "$one") != 1 || tb.Name(op, n) != "$one" {
			t.Errorf("%d has the name %q", n, tb.Name(op, n))
		}
	})
}

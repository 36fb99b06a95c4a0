package salvage

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"testing"

	bolt "go.etcd.io/bbolt"

	"skyslate/storage/block"
)

var rules = map[string]Rule{"alone": LiveAlone, "rather": Rather, "growing": Growing}

// Which of two values is kept, and which holds over another one elsewhere.
func TestWhichValueHolds(t *testing.T) {
	const none = ""
	type lying struct {
		text string
		live bool
	}
	for _, c := range []struct {
		bucket string
		lie    []lying
		kept   string
		other  string // elsewhere
		holds  string // then
	}{
		{"alone", []lying{{"old", false}}, none, "elsewhere", "elsewhere"},
		{"alone", []lying{{"old", false}, {"new", true}}, "new", "elsewhere", "new"},
		{"alone", []lying{{"new", true}, {"old", false}}, "new", none, "new"},
		{"rather", []lying{{"old", false}}, "old", none, "old"},
		{"rather", []lying{{"old", false}}, "old", "elsewhere", "elsewhere"},
		{"growing", []lying{{"old", false}, {"older", false}}, "older", "old", "older"},
		{"growing", []lying{{"longer", false}, {"new", true}}, "new", none, "new"},
	} {
		f := New(rules)
		for _, v := range c.lie {
			f.Take([]byte("k"), block.Seal(c.bucket, []byte("k"), []byte(v.text)), v.live)
		}
		if kept := string(f.buckets[c.bucket]["k"].text); kept != c.kept || f.Has(c.bucket, "k") != (kept != none) {
			t.Errorf("%+v: kept %q", c, kept)
		}
		holds := c.other
		for _, text := range f.Over(c.bucket, func([]byte) []byte {
			if c.other == none {
				return nil
			}
			return []byte(c.other)
		}) {
			holds = string(text)
		}
		if holds != c.holds {
			t.Errorf("%+v: %q holds", c, holds)
		}
	}
}

// What is out of date gives way.
func TestDemote(t *testing.T) {
	f := New(rules)
	f.Take([]byte("k"), block.Seal("alone", []byte("k"), []byte("1")), true)
	f.Demote()
	for k := range f.Over("alone", func([]byte) []byte { return nil }) {
		t.Errorf("%q holds", k)
	}
	if !f.Torn {
		t.Error("nothing is missing")
	}
}

// All that a hurt byte leaves whole is found, and the key beside it is told.
func TestFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "some.db")
	db, err := bolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	err = db.Update(func(x *bolt.Tx) error {
		b, err := x.CreateBucket([]byte("alone"))
		for n := 0; n < 100 && err == nil; n++ {
			k := fmt.Append(nil, n)
			data := block.Seal("alone", k, k)
			if n == 7 {
				data[len(data)-1] ^= 1
			}
			err = b.Put(k, data)
		}
		return err
	})
	if err == nil {
		err = db.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	f, err := File(path, os.Getpagesize(), rules)
	if err != nil || f.Torn {
		t.Fatal(f.Torn, err)
	}
	found := maps.Collect(func(yield func(string, bool) bool) {
		for k := range f.Keys("alone") {
			yield(k, true)
		}
	})
	if f.Count("alone") != 99 || len(found) != 99 || found["7"] || len(f.Hurt) != 1 || string(f.Hurt[0]) != "7" {
		t.Errorf("%d found, hurt are %q", f.Count("alone"), f.Hurt)
	}
	var n int
	if live := f.Read("alone", "42", &n); !live || n != 42 {
		t.Errorf("read %d, live: %v", n, live)
	}
}

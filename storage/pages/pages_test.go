package pages

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	bolt "go.etcd.io/bbolt"
)

// The survey must never call a sound file damaged: a long random life of a
// database, surveyed all along and compared with the library's own check.
func TestSurveyAcceptsWhatTheLibraryWrites(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	path := filepath.Join(t.TempDir(), "random.db")
	db, err := bolt.Open(path, 0o600, &bolt.Options{NoSync: true}) // nobody pulls the plug here
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	rounds := 400
	if testing.Short() {
		rounds = 50
	}
	for n := range rounds {
		if err := db.Update(func(x *bolt.Tx) error { return randomLife(random, x) }); err != nil {
			t.Fatal(err)
		}
		file, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		visited := map[string]string{}
		halved, err := Survey(bytes.NewReader(file), int64(len(file)), os.Getpagesize(), func(bucket string, key, value []byte) {
			visited[bucket+"/"+string(key)] = string(value)
		})
		if err != nil || halved {
			t.Fatalf("round %d: halved %v, %v", n, halved, err)
		}
		if there := values(t, db); !maps.Equal(visited, there) {
			t.Fatalf("round %d: %d values were visited, %d are there", n, len(visited), len(there))
		}
		if n%20 == 0 {
			checkPages(t, db)
		}
	}
}

// values are those of a database, by bucket and key.
func values(t *testing.T, db *bolt.DB) map[string]string {
	all := map[string]string{}
	if err := db.View(func(x *bolt.Tx) error {
		return x.ForEach(func(name []byte, b *bolt.Bucket) error {
			return b.ForEach(func(k, v []byte) error {
				all[string(name)+"/"+string(k)] = string(v)
				return nil
			})
		})
	}); err != nil {
		t.Fatal(err)
	}
	return all
}

// unvisited is for surveys of which only the outcome counts.
func unvisited(string, []byte, []byte) {}

// randomLife puts and deletes in a few buckets, at times all of one.
func randomLife(random *rand.Rand, x *bolt.Tx) error {
	name := fmt.Appendf(nil, "bucket %d", random.IntN(4))
	b, err := x.CreateBucketIfNotExists(name)
	if err != nil {
		return err
	}
	if random.IntN(40) == 0 {
		return x.DeleteBucket(name)
	}
	most := 1 << random.IntN(9)
	for range random.IntN(most) {
		key := fmt.Appendf(nil, "%0*d", 1+random.IntN(30), random.IntN(3000))
		if err := b.Put(key, make([]byte, random.IntN(700))); err != nil {
			return err
		}
	}
	var doomed [][]byte
	c := b.Cursor()
	k, _ := c.Seek(fmt.Appendf(nil, "%04d", random.IntN(3000)))
	for range random.IntN(most) {
		if k == nil {
			break
		}
		doomed = append(doomed, append([]byte(nil), k...))
		k, _ = c.Next()
	}
	for _, k := range doomed {
		if err := b.Delete(k); err != nil {
			return err
		}
	}
	return nil
}

func checkPages(t *testing.T, db *bolt.DB) {
	t.Helper()
	err := db.View(func(x *bolt.Tx) error {
		for err := range x.Check() {
			t.Error(err)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

// Whatever is written over a database, reading its pages ends, with a verdict
// and within the file.
func FuzzSurvey(f *testing.F) {
	sound, err := os.ReadFile("../testdata/schema3/skyslate.db")
	if err != nil {
		f.Fatal(err)
	}
	if _, err := Survey(bytes.NewReader(sound), int64(len(sound)), 4096, unvisited); err != nil {
		f.Fatal(err)
	}
	f.Add(uint32(0), []byte{1}, uint32(1<<20))
	f.Add(uint32(4096*3+10), []byte{0xff, 0xff, 0xff, 0xff}, uint32(1<<20))
	f.Add(uint32(4096*2), []byte{}, uint32(9000))
	f.Fuzz(func(t *testing.T, at uint32, over []byte, size uint32) {
		text := bytes.Clone(sound)
		if int(at) < len(text) {
			copy(text[at:], over)
		}
		text = text[:min(len(text), int(size))]
		halved, err := Survey(bytes.NewReader(text), int64(len(text)), 4096, unvisited)
		if len(text) < len(sound)/2 && err == nil {
			t.Errorf("half of a database is sound (halved %v)", halved)
		}
		Values(bytes.NewReader(text), int64(len(text)), 4096, func(key, value []byte, _ bool) {
			if len(key) == 0 || len(key)+len(value) > len(text) {
				t.Errorf("a value of %d bytes under a key of %d", len(value), len(key))
			}
		})
	})
}

// A bad head page hurts nobody if it is the older one; else the last transaction is
// missing, and the file is damaged.
func TestHeadPages(t *testing.T) {
	path := filepath.Join(t.TempDir(), "heads.db")
	db, err := bolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	for n := range 3 {
		if err := db.Update(func(x *bolt.Tx) error { return randomLife(rand.New(rand.NewPCG(1, uint64(n))), x) }); err != nil {
			t.Fatal(err)
		}
	}
	newest := db.Info().PageSize * int(lastTx(t, db)%2)
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for at, older := range map[int]bool{newest + 40: false, os.Getpagesize() - newest + 40: true} {
		hurt := bytes.Clone(file)
		hurt[at] ^= 4
		halved, err := Survey(bytes.NewReader(hurt), int64(len(hurt)), os.Getpagesize(), unvisited)
		if halved != older || (err == nil) != older {
			t.Errorf("byte %d: halved %t, %v", at, halved, err)
		}
		whole := Values(bytes.NewReader(hurt), int64(len(hurt)), os.Getpagesize(), func(_, _ []byte, _ bool) {})
		if whole != older {
			t.Errorf("byte %d: whole %t", at, whole)
		}
	}
}

func lastTx(t *testing.T, db *bolt.DB) (id uint64) {
	t.Helper()
	err := db.View(func(x *bolt.Tx) error { id = uint64(x.ID()); return nil })
	if err != nil {
		t.Fatal(err)
	}
	return id
}

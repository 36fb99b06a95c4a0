package storage

import (
	"fmt"
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
	f, err := openFile(path, false)
	if err != nil {
		t.Fatal(err)
	}
	defer f.close()
	f.db.NoSync = true // nobody pulls the plug here
	rounds := 400
	if testing.Short() {
		rounds = 50
	}
	for n := range rounds {
		if err := f.db.Update(func(x *bolt.Tx) error { return randomLife(random, x) }); err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		halved, err := surveyPages(f.fd, info.Size(), os.Getpagesize())
		if err != nil || halved {
			t.Fatalf("round %d: halved %v, %v", n, halved, err)
		}
		if n%20 == 0 {
			checkPages(t, f.db)
		}
	}
}

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

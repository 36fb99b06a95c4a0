package database

import (
	"crypto/rand"

	"skyslate/storage/keys"
	"skyslate/storage/table"
)

// Filler is a bucket that is there while pages are overwritten, to be dropped after
// that: a crash leaves it to the next Overwrite.
const Filler = "filler"

const (
	fillerLen    = 1900 // bytes of a value: two fill a page
	fillerAtOnce = 128
)

// slice is a transaction in the caller's terms.
type slice interface {
	Create(name string)
	In(name string) table.Bucket
	Size() int64
}

// Overwrite takes all free pages into use once more, for noise, which can't be packed: freed pages keep their
// text. It does so in slices, each in an update of its own, until there are none left
// and the file, which is of a size, grows. Before each slice it may be stopped.
func Overwrite[X slice](update func(func(X)) error, stop func(size int64) error) error {
	noise := make([]byte, fillerLen)
	_, _ = rand.Read(noise) // never fails
	for n, size := uint64(0), int64(0); ; {
		if err := stop(size); err != nil {
			return err
		}
		before := size
		err := update(func(t X) {
			t.Create(Filler)
			size = t.Size()
			for range fillerAtOnce {
				n++
				t.In(Filler).Put(keys.Uint(n), noise)
			}
		})
		if grown := size - before; err != nil || before > 0 && grown > fillerAtOnce*fillerLen*3/4 {
			return err
		}
	}
}

package table

import (
	"bytes"
	"slices"
)

// What is removed from a large bucket is looked for in transactions that only read and
// removed in short ones, between which work goes on.
const (
	readAtOnce    = 5000
	removedAtOnce = 200
)

// Sweep removes the values of a bucket that are not wanted any more, or lets remove do
// it, which knows what belongs to them elsewhere. The transactions are the caller's.
func Sweep[T any, X interface{ In(name string) Bucket }](
	read, update func(func(X)) error, name string, unwanted func(t X, key []byte, v T) bool, remove func(t X, key []byte, v T),
) error {
	if remove == nil {
		remove = func(t X, key []byte, _ T) { t.In(name).Delete(key) }
	}
	for next := []byte{}; next != nil; {
		var found [][]byte
		err := read(func(t X) {
			n, from := 0, next
			next = nil
			for k, text := range t.In(name).Up(from, nil) {
				if n++; n > readAtOnce {
					next = bytes.Clone(k)
					return
				}
				if v, ok := Read[T](t.In(name), k, text); ok && unwanted(t, k, v) {
					found = append(found, bytes.Clone(k))
				}
			}
		})
		if err != nil {
			return err
		}
		for some := range slices.Chunk(found, removedAtOnce) {
			err := update(func(t X) {
				for _, k := range some {
					if v, still := Get[T](t.In(name), k); still && unwanted(t, k, v) {
						remove(t, k, v)
					}
				}
			})
			if err != nil {
				return err
			}
		}
	}
	return nil
}

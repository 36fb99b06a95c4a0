package table

import "iter"

// Visit visits what keys lead to, as long as there is to be more.
func Visit[T any](t *Tx, led iter.Seq2[[]byte, []byte], find func([]byte) (T, bool), more func(T) bool) error {
	for k := range led {
		if found, ok := find(k); t.err != nil || ok && !more(found) {
			break
		}
	}
	return t.err
}

// Collect is all that keys lead to.
func Collect[T any](t *Tx, led iter.Seq2[[]byte, []byte], find func([]byte) (T, bool)) (all []T, err error) {
	err = Visit(t, led, find, func(found T) bool {
		all = append(all, found)
		return true
	})
	return all, err
}

// Decoded keeps values that were decoded: one event asks for the same ones again and again.
type Decoded[K comparable, V any] struct{ held map[K]V }

// mostHeld is how many values are kept.
const mostHeld = 4096

// Get is a value that was decoded before, or is now. Nobody changes what it refers to.
func (d *Decoded[K, V]) Get(key K, find func() (V, bool)) (V, bool) {
	if v, ok := d.held[key]; ok {
		return v, true
	}
	v, ok := find()
	if ok && len(d.held) < mostHeld {
		if d.held == nil {
			d.held = map[K]V{}
		}
		d.held[key] = v
	}
	return v, ok
}

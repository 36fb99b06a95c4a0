// Package salvage finds what is whole in a damaged database: most of it is, and newer
// than any backup. Each value that matches its checksum is kept; the checksum tells the
// bucket, too. The library can't be asked for them: see package pages.
package salvage

import (
	"bytes"
	"encoding/json"
	"iter"
	"maps"
	"os"

	"skyslate/storage/block"
	"skyslate/storage/pages"
)

// Rule says which of two values under the same key holds. Live ones hold over others,
// which lie in free pages and may be out of date or deleted.
type Rule int

// The rules for the values of a bucket.
const (
	LiveAlone Rule = iota // others are worth nothing
	Rather                // any value rather than none
	Growing               // the same, and of two the longer: such values only ever grow
)

// Find is what was found, by bucket.
type Find struct {
	rules   map[string]Rule
	buckets map[string]map[string]value

	Torn bool     // pages could not be read: anything may be missing
	Hurt [][]byte // the keys of values that don't match their checksums
}

type value struct {
	text []byte
	live bool
}

// File collects what can be read of a database with pages of that size; rules name its
// buckets. A file that isn't one holds nothing.
func File(path string, pageSize int, rules map[string]Rule) (*Find, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	found := New(rules)
	found.Torn = !pages.Values(f, info.Size(), pageSize, found.Take)
	return found, nil
}

// New is a Find of nothing yet.
func New(rules map[string]Rule) *Find {
	return &Find{rules: rules, buckets: map[string]map[string]value{}}
}

// Take takes a value as it lies in the file.
func (f *Find) Take(key, data []byte, live bool) {
	for name := range f.rules {
		entries, err := block.Read(name, key, data)
		if err != nil {
			continue
		}
		if f.buckets[name] == nil {
			f.buckets[name] = map[string]value{}
		}
		for _, e := range entries {
			v := value{bytes.Clone(e.Value), live}
			if f.rules[name].prefers(v, f.buckets[name][string(e.Key)]) {
				f.buckets[name][string(e.Key)] = v
			}
		}
		return
	}
	if live {
		f.Hurt = append(f.Hurt, bytes.Clone(key))
	}
}

// prefers reports whether a value holds over another one, or none, of the same key.
func (r Rule) prefers(v, old value) bool {
	switch {
	case old.text == nil:
		return v.live || r != LiveAlone
	case r == Growing && v.live == old.live:
		return len(v.text) > len(old.text)
	}
	return v.live && !old.live
}

// Demote makes all values give way to others: they are out of date.
func (f *Find) Demote() {
	f.Torn = true
	for _, values := range f.buckets {
		for k, v := range values {
			values[k] = value{v.text, false}
		}
	}
}

// Count is how many values were found of a bucket.
func (f *Find) Count(bucket string) int { return len(f.buckets[bucket]) }

// Keys are those found of a bucket, in no order.
func (f *Find) Keys(bucket string) iter.Seq[string] { return maps.Keys(f.buckets[bucket]) }

// Has reports whether a key was found.
func (f *Find) Has(bucket, key string) bool { return f.buckets[bucket][key].text != nil }

// Read reads the JSON under a key into v, if it was found.
func (f *Find) Read(bucket, key string, v any) (live bool) {
	found := f.buckets[bucket][key]
	return json.Unmarshal(found.text, v) == nil && found.live
}

// Over are the values of a bucket that hold over those that get finds elsewhere, which
// is nil where there is none.
func (f *Find) Over(bucket string, get func(key []byte) []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func(key, text []byte) bool) {
		for k, v := range f.buckets[bucket] {
			key := []byte(k)
			if f.rules[bucket].prefers(v, value{get(key), false}) && !yield(key, v.text) {
				return
			}
		}
	}
}

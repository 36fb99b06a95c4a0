package schema

import (
	"errors"
	"path/filepath"
	"slices"
	"testing"

	"skyslate/storage/block"
	"skyslate/storage/database"
	"skyslate/storage/table"
)

// Each bucket stands in one list and is laid out; the indexes of contacts are indexes.
func TestEachBucketIsListedOnce(t *testing.T) {
	names := slices.Sorted(slices.Values(All))
	if len(slices.Compact(slices.Clone(names))) != len(names) {
		t.Errorf("a bucket is listed twice: %q", names)
	}
	if len(layout) != len(names) {
		t.Errorf("%d buckets are laid out and %d listed", len(layout), len(names))
	}
	for _, name := range names {
		if _, ok := layout[name]; !ok {
			t.Errorf("%s is not laid out", name)
		}
	}
	for _, name := range OfContacts {
		if !slices.Contains(Indexes, name) {
			t.Errorf("%s is no index", name)
		}
	}
}

// What was laid out is ours; another number, another program and a lack are not.
func TestOf(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*table.Tx)
		want  error
	}{
		"sound":   {func(*table.Tx) {}, nil},
		"newer":   {func(x *table.Tx) { headerKey.Set(x, header{magic, Number + 1}) }, ErrNewer},
		"foreign": {func(x *table.Tx) { headerKey.Set(x, header{"another", Number}) }, database.ErrForeign},
		"lacking": {func(x *table.Tx) { x.Drop(Steps) }, block.ErrDamaged},
	} {
		t.Run(name, func(t *testing.T) {
			f, err := Open(filepath.Join(t.TempDir(), "test.db"), false)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			number := 0
			err = errors.Join(f.Update(Create), f.Update(c.spoil), f.View(func(x *table.Tx) { number = Of(x) }))
			if !errors.Is(err, c.want) || c.want == nil && number != Number {
				t.Errorf("%d, %v: want %v", number, err, c.want)
			}
		})
	}
}

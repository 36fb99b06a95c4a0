package index

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"skyslate/storage/block"
	"skyslate/storage/keys"
	"skyslate/storage/table"
	"skyslate/storage/table/tabletest"
)

var layout = table.Layout{"words": block.Single, "by_length": block.Single, "by_number": block.Single}

// word leads by its length and, where it is a noun, by its number.
type word struct {
	Text   string
	Number uint64
}

var words = Kind[word]{Bucket: "words", Leads: func(_ *table.Tx, key []byte, w word) []Lead {
	ls := []Lead{{Index: "by_length", Key: slices.Concat(keys.Uint(uint64(len(w.Text))), key)}}
	if w.Number != 0 {
		ls = append(ls, Lead{Index: "by_number", Key: keys.Uint(w.Number), Value: string(key)})
	}
	return ls
}}

// entries are those of the indexes.
func entries(x *table.Tx) map[string]string {
	all := map[string]string{}
	for _, name := range []string{"by_length", "by_number"} {
		for k, text := range x.In(name).Up(nil, nil) {
			all[fmt.Sprintf("%s %q", name, k)] = string(text)
		}
	}
	return all
}

// differences are how the indexes differ from the records.
func differences(x *table.Tx) (found []string) {
	led := Expected{}
	for _, ls := range words.Walk(x) {
		led.Add(ls)
	}
	return append(led.Compare(x, "by_length"), led.Compare(x, "by_number")...)
}

func TestIndexesFollow(t *testing.T) {
	tabletest.Update(t, layout, func(x *table.Tx) {
		for n, change := range []func(){
			func() { words.Put(x, []byte("a"), word{"sky", 1}) },
			func() { words.Put(x, []byte("b"), word{"slate", 2}) },
			func() { words.Put(x, []byte("a"), word{"cloud", 1}) },
			func() { words.Put(x, []byte("b"), word{"slate", 0}) },
			func() { words.Remove(x, []byte("a")) },
			func() { words.Remove(x, []byte("missing")) },
		} {
			change()
			if found := differences(x); len(found) > 0 {
				t.Errorf("after change %d: %q", n, found)
			}
		}
		want := entries(x)
		for _, name := range []string{"by_length", "by_number"} {
			x.Drop(name)
			x.Create(name)
		}
		words.Rebuild(x)
		if got := entries(x); !maps.Equal(got, want) || len(got) != 1 {
			t.Errorf("made anew: %q, want %q", got, want)
		}
	})
}

// A number that was given again leads to the newer record, whatever becomes of the
// older one.
func TestLeadsElsewhere(t *testing.T) {
	tabletest.Update(t, layout, func(x *table.Tx) {
		words.Put(x, []byte("a"), word{"sky", 1})
		words.Put(x, []byte("b"), word{"slate", 1})
		words.Put(x, []byte("a"), word{"cloud", 1})
		words.Remove(x, []byte("a"))
		if name, _ := table.Get[string](x.In("by_number"), keys.Uint(1)); name != "b" {
			t.Errorf("1 leads to %q", name)
		}
	})
}

func TestCompareFindsDifferences(t *testing.T) {
	tabletest.Update(t, layout, func(x *table.Tx) {
		words.Put(x, []byte("a"), word{"sky", 1})
		x.In("by_length").Mark([]byte("more"))
		x.In("by_number").Delete(keys.Uint(1))
		found := strings.Join(differences(x), "\n")
		if !strings.Contains(found, `by_length: "more" leads nowhere`) || !strings.Contains(found, "is missing") {
			t.Errorf("found: %s", found)
		}
		if found := (Expected{}).Compare(x, "by_number"); len(found) > 0 {
			t.Errorf("of an empty index: %q", found)
		}
	})
}

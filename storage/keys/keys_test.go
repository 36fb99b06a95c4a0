package keys

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"
)

func TestKeysSort(t *testing.T) {
	at := []time.Time{
		{},
		time.Unix(-1, 999), time.Unix(0, 0), time.Unix(0, 1), time.Unix(1, 0),
		time.Date(2026, 11, 24, 0, 0, 0, 0, time.UTC), time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC),
	}
	var times, numbers, texts [][]byte
	for _, moment := range at {
		k := Time(moment)
		if len(k) != TimeLen || !TimeOf(append(k, 1)).Equal(moment) {
			t.Errorf("%v has the key %x", moment, k)
		}
		times = append(times, k)
	}
	for _, n := range []int64{-1 << 63, -5, -1, 0, 1, 1 << 40} {
		numbers = append(numbers, Int(n))
	}
	for _, s := range []string{"7", "70", "8"} { // what follows a text never counts before it
		texts = append(texts, append(Text(s), 0xff))
	}
	for name, ks := range map[string][][]byte{"times": times, "numbers": numbers, "texts": texts} {
		if !slices.IsSortedFunc(ks, bytes.Compare) {
			t.Errorf("%s don't sort: %x", name, ks)
		}
	}
}

// What is damaged may be of any length.
func TestShortKeysHoldNothing(t *testing.T) {
	short := []byte{1, 2, 3}
	if n, at := UintOf(short), TimeOf(short); n != 0 || !at.IsZero() {
		t.Errorf("read %d and %v", n, at)
	}
	if n := UintOf(append(Text("7"), Uint(1<<40)...)); n != 1<<40 {
		t.Errorf("read %d", n)
	}
	if s := Backwards("7KZQ"); s != "QZK7" {
		t.Errorf("turned round: %q", s)
	}
	if s := TextOf(Text("7")); s != "7" {
		t.Errorf("read %q", s)
	}
}

func TestWith(t *testing.T) {
	for prefix, end := range map[string]string{"": "", "a": "b", "a\x00": "a\x01", "a\xff\xff": "b", "\xff": ""} {
		if from, before := With([]byte(prefix)); string(from) != prefix || string(before) != end {
			t.Errorf("with %q: from %q before %q", prefix, from, before)
		}
	}
}

func TestCheck(t *testing.T) {
	for s, want := range map[string]bool{
		"7": true, "": false, "a\x00b": false, strings.Repeat("x", 1024): true, strings.Repeat("x", 1025): false,
	} {
		if err := Check("a name", s); (err == nil) != want {
			t.Errorf("%.10q: %v", s, err)
		}
	}
}

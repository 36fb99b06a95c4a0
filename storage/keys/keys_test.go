package keys

import (
	"bytes"
	"fmt"
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

func TestLastVersions(t *testing.T) {
	entries := func(yield func(key, value []byte) bool) {
		for _, v := range []struct {
			text    string
			version int
		}{{"a", 1}, {"a", 2}, {"b", 1}, {"c", 0}, {"c", 1 << 20}} {
			k := append(Text(v.text), Version(v.version)...)
			if !yield(k, fmt.Append(nil, v.text, v.version)) {
				return
			}
		}
	}
	var got []string
	for k, value := range LastVersions(entries) {
		got = append(got, string(value))
		if n := VersionOf(k); !strings.HasSuffix(string(value), fmt.Sprint(n)) {
			t.Errorf("%s has the version %d", value, n)
		}
	}
	if want := []string{"a2", "b1", "c1048576"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for range LastVersions(entries) {
		break
	}
	if n := VersionOf([]byte{1}); n != 0 {
		t.Errorf("read %d", n)
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

package slip

import "testing"

func TestOne(t *testing.T) {
	for _, row := range []struct {
		a, b string
		want bool
	}{
		{"HX2ABC", "HX2ABC", true},
		{"HX2ABC", "HX2ABD", true},
		{"HX2ABC", "HX2AB", true},
		{"HX2ABC", "HX2BAC", true},
		{"HX2ABC", "HX2ADE", false},
		{"JO43", "JO34", true},
		{"JO43", "FN31", false},
	} {
		if One(row.a, row.b) != row.want || One(row.b, row.a) != row.want {
			t.Errorf("%s and %s: %v, want %v", row.a, row.b, !row.want, row.want)
		}
	}
}

func TestDistance(t *testing.T) {
	for _, row := range []struct {
		read, text string
		want       int
	}{
		{"HX2ABC", "HX2ABC", 0},
		{"HX2AB?", "HX2ABC", unread},
		{"HX2ABD", "HX2ABC", Wrong},
		{"HX2AB", "HX2ABC", Wrong},
		{"HX2ABCD", "HX2ABC", Wrong},
	} {
		if got := Distance(row.read, row.text); got != row.want {
			t.Errorf("%s and %s: %d, want %d", row.read, row.text, got, row.want)
		}
	}
}

func TestMatches(t *testing.T) {
	for pattern, want := range map[string]bool{"HX2ABC": true, "HX2AB?": true, "~ABC": true, "?BC": false, "HX2~": true, "HX3~": false} {
		if Matches(pattern, "HX2ABC") != want {
			t.Errorf("%s: %v", pattern, !want)
		}
	}
}

// Look-alikes come first, no symbol twice, and no more than there may be.
func TestLikely(t *testing.T) {
	for c := byte('0'); c <= 'Z'; c++ {
		list, seen := Likely(c), map[byte]bool{c: true}
		for _, k := range list {
			if seen[k] {
				t.Errorf("%c: %c twice", c, k)
			}
			seen[k] = true
		}
		if len(list) > MostLikely {
			t.Errorf("%c: %d", c, len(list))
		}
	}
	if list := Likely('O'); list[0] != '0' {
		t.Errorf("O: %s", list)
	}
}

// Two neighbours that changed places are one slip, and no letter moves twice.
func TestSlips(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want int
	}{
		{"HX7KZQ", "HX7KZQ", 0},
		{"HX7KZQ", "HX7KZP", 1},
		{"HX7KZQ", "HX7KQZ", 1},
		{"HX7KZQ", "HX7ZKP", 2},
		{"HX7KZQ", "HX7KZ", 1},
		{"CA", "ABC", 3},
		{"", "AB", 2},
	} {
		if got := Slips(tt.a, tt.b); got != tt.want || Slips(tt.b, tt.a) != tt.want {
			t.Errorf("%q and %q: %d slips, want %d both ways", tt.a, tt.b, got, tt.want)
		}
	}
}

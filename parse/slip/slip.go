// Package slip knows how typed and heard symbols go wrong: what was likely meant, and
// how far two texts are apart. All texts are in upper case.
package slip

import (
	"slices"
	"strings"
)

// Any stands for one symbol that was not read, Some for any number of them.
const (
	Any  = '?'
	Some = '~'
)

// lookalikes are pairs that are taken for each other, the likelier first.
// Common practice, no source.
const lookalikes = "O0 I1 L1 S5 B8 Z2 G6 T7 A4 G9 Q0 D0"

// keyboard holds the rows of the usual keyboards, two columns to a key.
var keyboard = [...]string{
	"1 2 3 4 5 6 7 8 9 0",
	"Q W E R T Y U I O P",
	" A S D F G H J K L ",
	"   Z X C V B N M   ",
}

// Likely returns what c may have been typed for: look-alikes first, then the keys
// around it.
func Likely(c byte) (list []byte) {
	for pair := range strings.FieldsSeq(lookalikes) {
		if i := strings.IndexByte(pair, c); i >= 0 {
			list = append(list, pair[1-i])
		}
	}
	for row, keys := range keyboard {
		at := strings.IndexByte(keys, c)
		if at < 0 {
			continue
		}
		for reach := 1; reach <= 2; reach++ {
			for _, near := range keyboard[max(0, row-1):min(row+2, len(keyboard))] {
				for _, k := range []byte(near[max(0, at-reach):min(at+reach+1, len(near))]) {
					if k != ' ' && k != c && !slices.Contains(list, k) {
						list = append(list, k)
					}
				}
			}
		}
	}
	return list
}

// MostLikely is how many symbols Likely returns at most.
const MostLikely = 12

// One reports whether two texts are the same but for one character more,
// less or other, or two that changed places.
func One(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	switch len(b) - len(a) {
	case 0:
		return i == len(a) || a[i+1:] == b[i+1:] || i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
	case 1:
		return a[i:] == b[i+1:]
	}
	return false
}

// Slips counts the symbols that differ, are missing, or have changed places
// with the next (Damerau 1964, restricted to adjacent places).
func Slips(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}

// Matches reports whether s agrees with a pattern. An unread character may
// also stand for a few.
func Matches(pattern, s string) bool {
	if pattern == "" || s == "" || pattern[0] != Any && pattern[0] != Some {
		return pattern == s || pattern != "" && s != "" && pattern[0] == s[0] && Matches(pattern[1:], s[1:])
	}
	least, most := 0, len(s)
	if pattern[0] == Any {
		least, most = 1, min(3, len(s))
	}
	for i := least; i <= most; i++ {
		if Matches(pattern[1:], s[i:]) {
			return true
		}
	}
	return false
}

// The distances count half symbols: one that was not read may be any.
const (
	unread = 1
	Wrong  = 2 // a symbol
)

// mostSymbols is how long a text is that distances are measured to.
const mostSymbols = 24

// Distance returns how many symbols of a text were read wrong, lost or
// added; those that were not read count half.
func Distance(read, text string) int {
	var row [mostSymbols]int // the distances of what was read so far to the beginnings of the text
	if len(text) >= len(row) {
		return mostSymbols * Wrong
	}
	for k := range len(text) + 1 {
		row[k] = k * Wrong
	}
	for i := range len(read) {
		cost := Wrong
		if read[i] == Any || read[i] == Some {
			cost = unread
		}
		before := row[0]
		row[0] += cost
		for k := range len(text) {
			same := before + cost
			if read[i] == text[k] {
				same = before
			}
			before = row[k+1]
			row[k+1] = min(same, before+cost, row[k]+Wrong)
		}
	}
	return row[len(text)]
}

package series

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// Source: ITU, Table of International Call Sign Series (Appendix 42 to the
// Radio Regulations), online export of December 2024: 309 ranges. The table
// itself is not ours to copy; the digest is that of its full series and half
// series, one "PP" or "PPX-PPY" a line, sorted.
func TestSeriesAgainstAppendix42(t *testing.T) {
	const want = "41aad4794aee48abf8ce1da8c62d6832d0e915c080e1917e0865dcbe001193ae"
	const chars = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	var lines []string
	for _, a := range []byte(chars) {
		for _, b := range []byte(chars) {
			if Allocated(a, b) {
				lines = append(lines, string([]byte{a, b}))
			}
		}
	}
	for f := range strings.FieldsSeq(table) {
		if len(f) == len("PPX-PPY") && f[3] == '-' {
			lines = append(lines, f)
		}
	}
	slices.Sort(lines)
	sum := sha256.Sum256([]byte(strings.Join(lines, "\n")))
	if got := fmt.Sprintf("%x", sum); got != want {
		t.Errorf("%d series with digest %s, want %s", len(lines), got, want)
	}
}

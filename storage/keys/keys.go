// Package keys writes numbers, times and texts so that they sort as bytes, one behind
// the other in a key. A text ends with a zero byte, so that no text is a prefix of
// another; numbers are big-endian, signed ones with the sign bit turned over; a time is
// its Unix second followed by its nanosecond.
package keys

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"iter"
	"slices"
	"strings"
	"time"
)

// How many bytes a number, a version and a time take.
const (
	NumberLen  = 8
	VersionLen = 4
	TimeLen    = 12
)

// Text is a text, which [Check] finds nothing wrong with.
func Text(s string) []byte { return append([]byte(s), 0) }

// Backwards is an ASCII text turned round, so that what it ends in can be looked for as
// a beginning.
func Backwards(s string) string {
	b := []byte(s)
	slices.Reverse(b)
	return string(b)
}

// TextOf is the text that a key is.
func TextOf(k []byte) string { return string(bytes.TrimSuffix(k, []byte{0})) }

// Uint is a number that is never negative.
func Uint(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

// Int is any number.
func Int(n int64) []byte { return Uint(uint64(n) ^ 1<<63) }

// Version is a small number that is never negative.
func Version(n int) []byte { return binary.BigEndian.AppendUint32(nil, uint32(n)) }

// Time is a moment.
func Time(t time.Time) []byte {
	return binary.BigEndian.AppendUint32(Int(t.Unix()), uint32(t.Nanosecond()))
}

// TimeOf is the time that a key begins with, zero where it is too short for one.
func TimeOf(k []byte) time.Time {
	if len(k) < TimeLen {
		return time.Time{}
	}
	second := int64(binary.BigEndian.Uint64(k) ^ 1<<63)
	return time.Unix(second, int64(binary.BigEndian.Uint32(k[NumberLen:TimeLen]))).UTC()
}

// UintOf is the number that a key ends with, zero where it is too short for one.
func UintOf(k []byte) uint64 {
	if len(k) < NumberLen {
		return 0
	}
	return binary.BigEndian.Uint64(k[len(k)-NumberLen:])
}

// VersionOf is the version that a key ends with, zero where it is too short for one.
func VersionOf(k []byte) int {
	if len(k) < VersionLen {
		return 0
	}
	return int(binary.BigEndian.Uint32(k[len(k)-VersionLen:]))
}

// LastVersions are, of the entries whose keys differ in their version alone, the last.
func LastVersions(entries iter.Seq2[[]byte, []byte]) iter.Seq2[[]byte, []byte] {
	return func(yield func(key, value []byte) bool) {
		var key, value []byte
		for k, later := range entries {
			if key != nil && !bytes.HasPrefix(k, key[:max(0, len(key)-VersionLen)]) && !yield(key, value) {
				return
			}
			key, value = k, later
		}
		if key != nil {
			yield(key, value)
		}
	}
}

// With is the range of the keys that begin with prefix.
func With(prefix []byte) (from, before []byte) {
	for n := len(prefix); n > 0; n-- {
		if prefix[n-1] < 0xff {
			before = bytes.Clone(prefix[:n])
			before[n-1]++
			return prefix, before
		}
	}
	return prefix, nil
}

const longestText = 1024

// Check refuses a text that can't stand inside a key; name says what it is.
func Check(name, s string) error {
	switch {
	case s == "":
		return fmt.Errorf("%s is empty", name)
	case len(s) > longestText:
		return fmt.Errorf("%s is longer than %d bytes", name, longestText)
	case strings.ContainsRune(s, 0):
		return fmt.Errorf("%s %q holds a zero byte", name, s)
	}
	return nil
}

package storage

import (
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Keys sort as bytes. A text inside a key ends with a zero byte, so that no
// text is a prefix of another; numbers are big-endian, signed ones with the
// sign bit turned over; a time is its Unix second followed by its nanosecond.

func textKey(s string) []byte { return append([]byte(s), 0) }

func opKey(op OperatorID, parts ...[]byte) []byte {
	return slices.Concat(textKey(string(op)), slices.Concat(parts...))
}

func uintKey(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

func intKey(n int64) []byte { return uintKey(uint64(n) ^ 1<<63) }

func versionKey(n int) []byte { return binary.BigEndian.AppendUint32(nil, uint32(n)) }

const timeKeyLen = 12

func timeKey(t time.Time) []byte {
	return binary.BigEndian.AppendUint32(intKey(t.Unix()), uint32(t.Nanosecond()))
}

// keyTime is the time that a key begins with, zero where it is too short for one.
func keyTime(k []byte) time.Time {
	if len(k) < timeKeyLen {
		return time.Time{}
	}
	second := int64(binary.BigEndian.Uint64(k) ^ 1<<63)
	return time.Unix(second, int64(binary.BigEndian.Uint32(k[8:timeKeyLen]))).UTC()
}

// lastUint is the number a key ends with.
func lastUint(k []byte) uint64 {
	if len(k) < 8 {
		return 0
	}
	return binary.BigEndian.Uint64(k[len(k)-8:])
}

// checkName refuses what can't stand inside a key.
func checkName(what, s string) error {
	switch {
	case s == "":
		return fmt.Errorf("%s is empty", what)
	case len(s) > 1024:
		return fmt.Errorf("%s is longer than 1024 bytes", what)
	case strings.ContainsRune(s, 0):
		return fmt.Errorf("%s %q holds a zero byte", what, s)
	}
	return nil
}

func (t *tx) checkName(what, s string) { t.fail(checkName(what, s)) }

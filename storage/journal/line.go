// Package journal is a file of lines that follow what is committed elsewhere, and that
// needs no tool to be read. A line is a JSON object whose first member is a checksum,
//
//	{"sum":"0a1b2c3d","contact":{…}}
//
// the CRC-32C, in hexadecimal, of what follows the first comma. The objects are the
// caller's; the package knows lines that are whole, where the file ends with one, and
// which lines are still to follow.
//
// The file grows, fsynced, line by line, and is replaced as a whole only to lose lines:
// those that are bad when it is closed (Rewrite), or void while others are added
// ([Journal.Rewrite]). Whoever keeps a [State] beside what was committed learns at the
// next opening (Resume) that nothing in it was touched, without a look at its lines.
package journal

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"

	"skyslate/storage/disk"
)

const (
	sumStart = `{"sum":"`
	sumEnd   = `",`
	sumLen   = len(sumStart) + 8 + len(sumEnd)
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// Line is the line of an object, with its line feed.
func Line(object []byte) []byte {
	rest := object[1:] // past the brace
	return append(append(lineSum(rest), rest...), '\n')
}

// lineSum is the part of a line that holds the checksum of the rest.
func lineSum(rest []byte) []byte {
	return fmt.Appendf(nil, "%s%08x%s", sumStart, crc32.Checksum(rest, castagnoli), sumEnd)
}

// parse reads a line without its line feed.
func parse[T any](line []byte) (v T, ok bool) {
	if len(line) < sumLen || !bytes.Equal(line[:sumLen], lineSum(line[sumLen:])) {
		return v, false
	}
	err := json.Unmarshal(append([]byte("{"), line[sumLen:]...), &v)
	return v, err == nil
}

// Read visits the good lines in order; bad counts the others. Lines may end as other
// systems' editors end them, and the last one not at all.
func Read[T any](r io.Reader, visit func(number int, line []byte, v T) error) (bad int, err error) {
	br := bufio.NewReader(r)
	for number := 1; ; number++ {
		line, readErr := br.ReadBytes('\n')
		if readErr != nil && !errors.Is(readErr, io.EOF) {
			return bad, readErr
		}
		if readErr != nil && len(line) == 0 {
			return bad, nil
		}
		line = bytes.TrimRight(line, "\r\n")
		if v, ok := parse[T](line); !ok {
			bad++
		} else if err := visit(number, append(line, '\n'), v); err != nil {
			return bad, err
		}
		if readErr != nil {
			return bad, nil
		}
	}
}

// ReadFile is Read of a file that may be missing.
func ReadFile[T any](path string, visit func(number int, line []byte, v T) error) (bad int, err error) {
	f, err := os.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	defer f.Close()
	return Read(f, visit)
}

// Copy copies the good lines that keep says.
func Copy[T any](to io.Writer, from io.Reader, keep func(number int, v T) bool) error {
	w := bufio.NewWriter(to)
	_, err := Read(from, func(n int, line []byte, v T) error {
		if !keep(n, v) {
			return nil
		}
		_, err := w.Write(line)
		return err
	})
	return errors.Join(err, w.Flush())
}

// Rewrite replaces the file at path, which is not open, by its good lines that keep
// says.
func Rewrite[T any](path string, keep func(number int, v T) bool) error {
	old, err := os.Open(path)
	if err != nil {
		return err
	}
	defer old.Close()
	return disk.Replace(path, func(f *os.File) error { return Copy(f, old, keep) })
}

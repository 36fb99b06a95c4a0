// Package documents is a directory of documents that came in with events: too large
// for the database, whose transactions hold what they write in memory.
//
// A document is named by its event, and ends with the CRC-32C (big-endian) of what
// stands before: a call sign in it is never read as another one. Whoever owns the
// directory knows which documents something refers to (Sweep). From Keep to CameIn
// nothing does yet: the directory remembers that while it is open, and a document
// whose event never came in is swept at the next opening.
package documents

import (
	"bytes"
	"errors"
	"hash/crc32"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"skyslate/storage/disk"
)

// ErrTooLarge is a document that is larger than it may be.
var ErrTooLarge = errors.New("the document is too large")

var (
	errCutShort = errors.New("the document is cut short")
	errChanged  = errors.New("the document does not match its checksum")
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// Dir is the directory, and the documents whose events are still to come in. Its
// methods may be called from several goroutines.
type Dir struct {
	mu      sync.Mutex
	path    string
	pending map[string]bool
}

// In is the directory at a path; it is made with the first document.
func In(path string) *Dir { return &Dir{path: path, pending: map[string]bool{}} }

func (d *Dir) file(event string) string { return filepath.Join(d.path, url.PathEscape(event)) }

// Keep keeps the document of an event that is about to come in, of at most so many
// bytes, and returns how many there are: on disk when it returns. A document kept
// before for the same event is replaced.
func (d *Dir) Keep(event string, body io.Reader, most int64) (size int64, err error) {
	d.mu.Lock()
	d.pending[event] = true
	err = os.MkdirAll(d.path, 0o700)
	d.mu.Unlock()
	if err == nil {
		err = disk.Replace(d.file(event), func(f *os.File) error {
			sum := crc32.New(castagnoli)
			if size, err = io.Copy(io.MultiWriter(f, sum), io.LimitReader(body, most+1)); size > most {
				return ErrTooLarge
			}
			_, unsummed := f.Write(sum.Sum(nil))
			return errors.Join(err, unsummed)
		})
	}
	if err != nil {
		return 0, errors.Join(err, d.Drop(event))
	}
	return size, nil
}

// CameIn says that the event of a document, if it has one, came in.
func (d *Dir) CameIn(event string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.pending, event)
}

// Drop removes a document; one that is not there is passed over.
func (d *Dir) Drop(event string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.pending, event)
	err := os.Remove(d.file(event))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if len(d.pending) == 0 {
		_ = os.Remove(d.path) // fails while there are others
	}
	return err
}

// DropUnless removes the document of an event, if there is one, unless it is wanted.
func (d *Dir) DropUnless(wanted func(event string) (bool, error), event string) error {
	if _, err := os.Lstat(d.file(event)); err != nil {
		return nil // most events have none
	}
	stays, err := wanted(event)
	if stays || err != nil {
		return err
	}
	return d.Drop(event)
}

// Document is a document that is open and whole.
type Document struct {
	*io.SectionReader
	file *os.File
}

// Close closes the file.
func (d *Document) Close() error { return d.file.Close() }

// Open opens the document of an event and reads all of it once: an error means that
// it can't be had any more, or is not as it was.
func (d *Dir) Open(event string) (*Document, error) {
	f, err := os.Open(d.file(event))
	if err != nil {
		return nil, err
	}
	size, err := check(f)
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return &Document{io.NewSectionReader(f, 0, size), f}, nil
}

// check returns how long a document is without its checksum, if that is right.
func check(f *os.File) (size int64, err error) {
	info, err := f.Stat()
	if err != nil {
		return 0, err
	}
	if size = info.Size() - crc32.Size; size < 0 {
		return 0, errCutShort
	}
	sum, want := crc32.New(castagnoli), make([]byte, crc32.Size)
	_, err = io.Copy(sum, io.NewSectionReader(f, 0, size))
	if _, unread := f.ReadAt(want, size); err != nil || unread != nil {
		return 0, errors.Join(err, unread)
	}
	if !bytes.Equal(sum.Sum(nil), want) {
		return 0, errChanged
	}
	return size, nil
}

// Sweep removes the documents that are not wanted and whose events are not still to
// come in, and halves of such. Somebody else's directory in it is no document.
func (d *Dir) Sweep(wanted func(event string) (bool, error)) error {
	entries, err := os.ReadDir(d.path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		if e.IsDir() {
			continue
		}
		stays := false
		if event, odd := url.PathUnescape(e.Name()); odd == nil {
			var unknown error
			if stays = d.isPending(event); !stays {
				stays, unknown = wanted(event)
			}
			err = errors.Join(err, unknown)
		}
		if !stays && err == nil {
			err = os.Remove(filepath.Join(d.path, e.Name()))
		}
	}
	return err
}

// isPending is true also of the half of a document that is being written.
func (d *Dir) isPending(event string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.pending[strings.TrimSuffix(event, disk.Unfinished)]
}

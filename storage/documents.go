package storage

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
)

// documentsName is the directory of the documents that came in with an event: too
// large for the database, whose transactions hold what they write in memory.
//
// A document is named by its event, and ends with the CRC-32C (big-endian) of what
// stands before: a call sign in it is never read as another one. It stands there while the event waits in the
// inbox or is set aside, and while the value under [DocumentKey] is kept. From
// KeepDocument to the Accept of its event nothing refers to it yet: the store
// remembers that while it is open, and a document whose event never came in is
// swept at the next opening.
const documentsName = "documents"

// documents is the directory, and the documents whose events are still to come in.
type documents struct {
	mu      sync.Mutex
	dir     string
	pending map[string]bool
}

// ErrTooLarge is a document that is larger than it may be.
var ErrTooLarge = errors.New("the document is too large")

// underDocument is how the keys of documents that are still used begin.
const underDocument = "document/"

// DocumentKey is the key under which the operator is kept who uses the document of
// an event beyond that event. A commit that removes the value removes the document.
func DocumentKey(event string) string { return underDocument + event }

func (d *documents) path(event string) string {
	return filepath.Join(d.dir, url.PathEscape(event))
}

// KeepDocument keeps the document of an event that is about to come in, of at most
// so many bytes, and returns how many there are: on disk when it returns. A document
// kept before for the same event is replaced.
func (s *Store) KeepDocument(event string, body io.Reader, most int64) (size int64, err error) {
	d := &s.documents
	d.mu.Lock()
	if d.pending == nil {
		d.pending = map[string]bool{}
	}
	d.pending[event] = true
	err = os.MkdirAll(d.dir, 0o700)
	d.mu.Unlock()
	if err == nil {
		err = replaceFile(d.path(event), func(f *os.File) error {
			sum := crc32.New(castagnoli)
			if size, err = io.Copy(io.MultiWriter(f, sum), io.LimitReader(body, most+1)); size > most {
				return ErrTooLarge
			}
			_, unsummed := f.Write(sum.Sum(nil))
			return errors.Join(err, unsummed)
		})
	}
	if err != nil {
		return 0, wrap("keep a document", sayNoSpace(errors.Join(err, s.DropDocument(event))))
	}
	return size, nil
}

// DropDocument removes a document whose event doesn't come in after all; one that
// is not there is passed over.
func (s *Store) DropDocument(event string) error { return s.documents.drop(event) }

func (d *documents) drop(event string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.pending, event)
	err := os.Remove(d.path(event))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if len(d.pending) == 0 {
		_ = os.Remove(d.dir) // fails while there are others
	}
	return err
}

// Document is a document that is open and whole.
type Document struct {
	*io.SectionReader
	file *os.File
}

// Close closes the file.
func (d *Document) Close() error { return d.file.Close() }

// Document opens the document of an event and reads all of it once: an error means
// that it can't be had any more, or is not what it was.
func (v *View) Document(event string) (*Document, error) {
	f, err := os.Open(v.documents.path(event))
	if err != nil {
		return nil, err
	}
	size, err := checkDocument(f)
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return &Document{io.NewSectionReader(f, 0, size), f}, nil
}

// checkDocument returns how long a document is without its checksum, if that is right.
func checkDocument(f *os.File) (size int64, err error) {
	info, err := f.Stat()
	if err != nil {
		return 0, err
	}
	if size = info.Size() - crc32.Size; size < 0 {
		return 0, damaged("the document is cut short")
	}
	sum, want := crc32.New(castagnoli), make([]byte, crc32.Size)
	_, err = io.Copy(sum, io.NewSectionReader(f, 0, size))
	if _, unread := f.ReadAt(want, size); err != nil || unread != nil {
		return 0, errors.Join(err, unread)
	}
	if !bytes.Equal(sum.Sum(nil), want) {
		return 0, damaged("the document does not match its checksum")
	}
	return size, nil
}

// cameIn says that the events of documents are in the inbox.
func (d *documents) cameIn(raws []Raw) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, r := range raws {
		delete(d.pending, r.ID)
	}
}

// dropDone removes the documents that nothing refers to any more after a commit.
// What fails is made up for by the next opening.
func (s *Store) dropDone(event string, c Changes) {
	done := []string{event}
	for key := range c.Keep {
		if of, ok := strings.CutPrefix(key, underDocument); ok {
			done = append(done, of)
		}
	}
	for _, event := range done {
		if _, err := os.Lstat(s.documents.path(event)); err != nil {
			continue // most events have none
		}
		wanted := true
		err := s.read(func(t *tx) { wanted = t.wantsDocument(event) })
		if err == nil && !wanted {
			err = s.documents.drop(event)
		}
		if err != nil {
			s.notice("a document that is done with could not be removed, the next start tries again: %v", err)
		}
	}
}

// sweepDocuments removes the documents that nothing refers to, and halves of such.
// What somebody else has put there is no document unless it is a file.
func (s *Store) sweepDocuments() error {
	entries, err := os.ReadDir(s.documents.dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		if e.IsDir() {
			continue
		}
		event, odd := url.PathUnescape(e.Name())
		wanted := odd == nil && s.documents.isPending(event)
		if !wanted && odd == nil {
			err = errors.Join(err, s.read(func(t *tx) { wanted = t.wantsDocument(event) }))
		}
		if !wanted && err == nil {
			err = errors.Join(err, os.Remove(filepath.Join(s.documents.dir, e.Name())))
		}
	}
	return wrap("sweep documents", err)
}

// isPending is true also of the half of a document that is being written.
func (d *documents) isPending(event string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.pending[strings.TrimSuffix(event, ".new")]
}

func (t *tx) wantsDocument(event string) bool {
	id := textKey(event)
	return t.in(inInboxByID).Has(id) || t.in(inDead).Has(id) || t.in(inKept).Has(textKey(DocumentKey(event)))
}

// forgetDocuments takes back that an operator uses documents.
func (t *tx) forgetDocuments(op OperatorID) {
	var theirs [][]byte
	for k, user := range scan[[]byte](t.in(inKept), []byte(underDocument)) {
		if string(user) == string(op) {
			theirs = append(theirs, bytes.Clone(k))
		}
	}
	for _, k := range theirs {
		t.in(inKept).Delete(k)
	}
}

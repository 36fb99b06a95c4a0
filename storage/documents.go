package storage

import (
	"io"
	"strings"

	"skyslate/storage/database"
	"skyslate/storage/documents"
	"skyslate/storage/fault"
	"skyslate/storage/keys"
	"skyslate/storage/schema"
)

// documentsName is the directory of the documents (package documents). One stands
// there while its event waits in the inbox or is set aside, and while the value under
// [DocumentKey] is kept.
const documentsName = "documents"

// ErrTooLarge is a document that is larger than it may be.
var ErrTooLarge = documents.ErrTooLarge

// underDocument is how the keys of documents that are still used begin.
const underDocument = "document/"

// DocumentKey is the key under which the operator is kept who uses the document of
// an event beyond that event. A commit that removes the value removes the document.
func DocumentKey(event string) string { return underDocument + event }

// KeepDocument keeps the document of an event that is about to come in, of at most
// so many bytes, and returns how many there are: on disk when it returns. A document
// kept before for the same event is replaced.
func (s *Store) KeepDocument(event string, body io.Reader, most int64) (size int64, err error) {
	size, err = s.documents.Keep(event, body, most)
	return size, fault.In("keep a document", database.NoSpace(err))
}

// DropDocument removes a document whose event doesn't come in after all; one that
// is not there is passed over.
func (s *Store) DropDocument(event string) error { return s.documents.Drop(event) }

// Document opens the document of an event and reads all of it once: an error means
// that it can't be had any more, or is not what it was.
func (v *View) Document(event string) (*documents.Document, error) { return v.documents.Open(event) }

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
		if err := s.documents.DropUnless(s.wantsDocument, event); err != nil {
			s.notice("a document that is done with could not be removed, the next start tries again: %v", err)
		}
	}
}

// sweepDocuments removes the documents that nothing refers to.
func (s *Store) sweepDocuments() error {
	return fault.In("sweep documents", s.documents.Sweep(s.wantsDocument))
}

func (s *Store) wantsDocument(event string) (wanted bool, err error) {
	id := keys.Text(event)
	err = s.read(func(t *tx) {
		wanted = t.In(schema.InboxByID).Has(id) || t.In(schema.Dead).Has(id) || t.In(schema.Kept).Has(keys.Text(DocumentKey(event)))
	})
	return wanted, err
}

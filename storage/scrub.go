package storage

import (
	"errors"
	"io"

	"skyslate/storage/changes"
	"skyslate/storage/database"
	"skyslate/storage/journal"
	"skyslate/storage/schema"
)

// Freed pages keep their text, and so do lines of the journal that are void. So after
// somebody was forgotten the journal is replaced and all free pages are taken into use
// once more, for zeros: in the background and in slices between which work goes on.
// Until that is done the database says whose traces there are; an opening goes on.

// tracesKey is where those stand who were forgotten, as in the journal.
const tracesKey schema.Value[[]string] = "traces"

// awaited is up to which size of the database a closing waits for the end.
const awaited = 64 << 20

// scrub begins to remove the traces. Of several at a time each does what the others
// have left.
func (s *Store) scrub() {
	s.background.Go(func() {
		s.scrubbing.Lock()
		defer s.scrubbing.Unlock()
		if err := (scrubber{s}).once(); err != nil && !errors.Is(err, ErrClosed) {
			s.notice("what was forgotten could not be removed from the files yet (%v): the next start tries again", err)
		}
	})
}

// A scrubber removes the traces of who was forgotten from the files of a store in use.
type scrubber struct{ *Store }

func (s scrubber) once() error {
	var gone []string
	if err := s.read(func(t *tx) { gone = tracesKey.Of(t.Tx) }); err != nil || len(gone) == 0 {
		return err
	}
	rev, err := s.dropVoid(gone)
	if err != nil {
		return err
	}
	s.copying.Lock() // a backup reads pages that were freed since it began
	defer s.copying.Unlock()
	s.file.AwaitReaders()
	err = database.Overwrite(s.update, func(size int64) error {
		if size <= awaited {
			return nil
		}
		return s.ending()
	})
	if err != nil {
		return err
	}
	return s.update(func(t *tx) {
		t.Drop(database.Filler)
		tracesKey.Set(t.Tx, tracesKey.Of(t.Tx)[len(gone):])
		if rev > 0 { // the line with that number may be gone
			t.lines = []entry{{Kept: &changes.Change{Rev: rev}}}
		}
	})
}

// dropVoid replaces the journal by one without the lines of operators up to the one that
// says that they were forgotten. Rev is the number of the last change of a kept value.
func (s scrubber) dropVoid(gone []string) (rev uint64, err error) {
	if !s.void.Swap(false) {
		return 0, nil
	}
	err = s.journal.Rewrite(func(old *io.SectionReader, to io.Writer) error {
		l := newLedger()
		if _, err := journal.Read(io.NewSectionReader(old, 0, old.Size()), l.note); err != nil {
			return err
		}
		rev = l.kept.Rev
		return journal.Copy(to, old, func(n int, e entry) bool {
			if e.Kept != nil { // what was replaced may name them, and the removal of their own
				return l.kept.Holds(*e.Kept) && !namesOneOf(e.Kept.Key, gone)
			}
			return !l.isVoid(n, e)
		})
	})
	if err != nil {
		s.void.Store(true)
	}
	return rev, err
}

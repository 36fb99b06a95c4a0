package storage

import (
	"crypto/rand"
	"errors"
	"io"
	"slices"
	"strings"

	"skyslate/storage/journal"
)

// Freed pages keep their text, and so do lines of the journal that are void. So after
// somebody was forgotten the journal is replaced and all free pages are taken into use
// once more, for zeros: in the background and in slices between which work goes on.
// Until that is done the database says whose traces there are; an opening goes on.

const (
	tracesKey = "traces" // beside the header: those who were forgotten, as in the journal
	inFiller  = "filler" // a bucket that is there while pages are filled

	fillerLen    = 1900 // bytes of a value: two fill a page
	fillerAtOnce = 128
	// awaited is up to which size of the database a closing waits for the end.
	awaited = 64 << 20
)

func (t *tx) traces() (gone []string) {
	gone, _ = get[[]string](t.in(inMeta), []byte(tracesKey))
	return gone
}

func (t *tx) putTraces(gone []string) {
	if len(gone) > 0 {
		t.in(inMeta).put([]byte(tracesKey), gone)
	} else {
		t.in(inMeta).Delete([]byte(tracesKey))
	}
}

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
	if err := s.read(func(t *tx) { gone = t.traces() }); err != nil || len(gone) == 0 {
		return err
	}
	rev, err := s.dropVoid(gone)
	if err != nil {
		return err
	}
	s.copying.Lock() // a backup reads pages that were freed since it began
	defer s.copying.Unlock()
	s.awaitReaders()
	if err := s.fillFree(); err != nil {
		return err
	}
	return s.update(func(t *tx) {
		delete(t.buckets, inFiller)
		t.fail(t.DeleteBucket([]byte(inFiller)))
		t.putTraces(t.traces()[len(gone):])
		if rev > 0 { // the line with that number may be gone
			t.lines = []entry{{Kept: &keptValue{Rev: rev}}}
		}
	})
}

// awaitReaders returns when all transactions are over that are under way.
func (s scrubber) awaitReaders() {
	s.mu.Lock()
	defer s.mu.Unlock()
}

// fillFree writes noise, which can't be packed, until there are no free pages left and
// the file grows.
func (s scrubber) fillFree() error {
	noise := make([]byte, fillerLen)
	_, _ = rand.Read(noise) // never fails
	for n, size := uint64(0), int64(0); ; {
		if s.closing.Load() && size > awaited {
			return ErrClosed
		}
		before := size
		err := s.update(func(t *tx) {
			_, err := t.CreateBucketIfNotExists([]byte(inFiller))
			t.fail(err)
			size = t.Size()
			for range fillerAtOnce {
				n++
				t.in(inFiller).Put(uintKey(n), noise)
			}
		})
		if grown := size - before; err != nil || before > 0 && grown > fillerAtOnce*fillerLen*3/4 {
			return err
		}
	}
}

// dropVoid replaces the journal by one without the lines of operators up to the one that
// says that they were forgotten. Rev is the number of the last change of a kept value.
func (s scrubber) dropVoid(gone []string) (rev uint64, err error) {
	if !s.void.Swap(false) {
		return 0, nil
	}
	err = s.journal.Rewrite(func(old *io.SectionReader, to io.Writer) error {
		l, err := survey(io.NewSectionReader(old, 0, old.Size()))
		if err != nil {
			return err
		}
		rev = l.rev
		return journal.Copy(to, old, func(n int, e entry) bool {
			if e.Kept != nil { // what was replaced may name them, and the removal of their own
				return l.holds(*e.Kept) && !slices.ContainsFunc(strings.Split(e.Kept.Key, "/"), func(part string) bool {
					return slices.Contains(gone, who(OperatorID(part)))
				})
			}
			return !l.isVoid(n, e)
		})
	})
	if err != nil {
		s.void.Store(true)
	}
	return rev, err
}

package storage

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"time"
)

// contactOf names a version among all operators.
type contactOf struct {
	op      OperatorID
	id      uint64
	version int
}

// ledger is what the journal holds, by name.
type ledger struct {
	voidUpTo  map[string]int       // by who: lines before this number are void
	forgotten map[string]time.Time // by who
	operators map[OperatorID]Operator
	passes    map[passOf]bool
	contacts  map[contactOf]bool
	void, bad int // lines
}

// surveyJournal reads the journal once for what is void and what is there.
func surveyJournal(path string) (*ledger, error) {
	l := &ledger{
		voidUpTo: map[string]int{}, forgotten: map[string]time.Time{},
		operators: map[OperatorID]Operator{}, passes: map[passOf]bool{}, contacts: map[contactOf]bool{},
	}
	_, err := readJournalFile(path, func(n int, _ []byte, e entry) error {
		if f := e.Forgotten; f != nil {
			l.voidUpTo[f.Who], l.forgotten[f.Who] = n, f.At
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	l.bad, err = readJournalFile(path, func(n int, _ []byte, e entry) error {
		l.note(n, e)
		return nil
	})
	return l, err
}

func (l *ledger) isVoid(n int, e entry) bool {
	op := e.of()
	return op != "" && n < l.voidUpTo[who(op)]
}

func (l *ledger) note(n int, e entry) {
	switch {
	case l.isVoid(n, e):
		l.void++
	case e.Operator != nil:
		l.operators[e.Operator.ID] = *e.Operator
	case e.Pass != nil:
		l.passes[passOf{e.Pass.Operator, e.Pass.ID}] = true
	case e.Contact != nil:
		l.contacts[contactOf{e.Contact.Operator, e.Contact.ID, e.Contact.Version}] = true
	}
}

// empty reports that nothing could be restored from the journal.
func (l *ledger) empty() bool { return len(l.operators) == 0 && len(l.contacts) == 0 }

// reconcile makes database and journal hold the same at an opening: the
// database gets what only the journal has (it was deleted, or an older copy was
// put in its place), the journal what only the database has (a write of it
// failed). Forgotten operators are forgotten in both.
func (s *Store) reconcile() error {
	path := join(s.dir, journalName)
	l, err := surveyJournal(path)
	if err != nil {
		return fmt.Errorf("read the contact journal: %w", err)
	}
	if l.bad > 0 || l.void > 0 {
		if err := s.mendJournal(path, l); err != nil {
			return fmt.Errorf("mend the contact journal: %w", err)
		}
	}
	if err := s.restoreFrom(path, l); err != nil {
		return fmt.Errorf("restore from the contact journal: %w", err)
	}
	if s.journal, err = openJournal(path); err != nil {
		return fmt.Errorf("open the contact journal: %w", err)
	}
	s.journal.passes = l.passes
	return s.topUp(l)
}

// mendJournal writes the journal anew without its unreadable and void lines.
// With unreadable ones the old file is kept under another name.
func (s *Store) mendJournal(path string, l *ledger) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	if l.bad > 0 {
		kept := aside(path, info.ModTime())
		if err := copyFile(path, kept); err != nil {
			return err
		}
		s.notice("%d lines of the contact journal could not be read; it was mended, and the file as it was is kept as %s", l.bad, kept)
	}
	return rewriteJournal(path, func(n int, e entry) bool { return !l.isVoid(n, e) })
}

// rewriteJournal keeps the good lines that keep says, and replaces the file in
// one step.
func rewriteJournal(path string, keep func(n int, e entry) bool) error {
	return replaceFile(path, func(f *os.File) error {
		w := bufio.NewWriter(f)
		_, err := readJournalFile(path, func(n int, line []byte, e entry) error {
			if !keep(n, e) {
				return nil
			}
			_, err := w.Write(line)
			return err
		})
		return errors.Join(err, w.Flush())
	})
}

// restoreFrom gives the database what only the journal has. It writes nothing
// if that is nothing: a store opens on a full disk, too.
func (s *Store) restoreFrom(path string, l *ledger) error {
	whole, err := s.hasAll(path, l)
	if err != nil || whole {
		return err
	}
	var contacts, operators int
	err = s.update(func(t tx) error {
		contacts, operators = 0, 0
		if err := t.forgetAll(l.forgotten); err != nil {
			return err
		}
		return l.each(path, func(e entry) error {
			lacks, err := t.lacks(e)
			if err != nil || !lacks {
				return err
			}
			if e.Operator != nil {
				operators++
			}
			if e.Contact != nil {
				contacts++
			}
			return t.restore(e, l)
		})
	})
	if err == nil && contacts+operators > 0 {
		s.notice("restored from the contact journal: %d versions of contacts, %d operators", contacts, operators)
	}
	return err
}

// hasAll reports whether the database lacks nothing that the journal has.
func (s *Store) hasAll(path string, l *ledger) (whole bool, err error) {
	whole = len(l.forgotten) == 0
	err = s.read(func(t tx) error {
		return l.each(path, func(e entry) error {
			lacks, err := t.lacks(e)
			whole = whole && !lacks
			return err
		})
	})
	return whole, err
}

// each visits the journal's lines that are not void.
func (l *ledger) each(path string, visit func(entry) error) error {
	_, err := readJournalFile(path, func(n int, _ []byte, e entry) error {
		if l.isVoid(n, e) {
			return nil
		}
		return visit(e)
	})
	return err
}

// forgetAll removes operators who were forgotten after they had joined: an
// older copy of the database still holds them.
func (t tx) forgetAll(gone map[string]time.Time) error {
	if len(gone) == 0 {
		return nil
	}
	ops, err := all[Operator](t.in(inOperators), nil)
	if err != nil {
		return err
	}
	for _, o := range ops {
		if at, is := gone[who(o.ID)]; is && !o.Joined.After(at) {
			if err := t.forget(o.ID); err != nil {
				return err
			}
		}
	}
	return nil
}

// lacks reports whether the database lacks what a line holds.
func (t tx) lacks(e entry) (bool, error) {
	switch {
	case e.Operator != nil:
		return t.in(inOperators).Get(opKey(e.Operator.ID)) == nil, nil
	case e.Pass != nil:
		return t.in(inPasses).Get(opKey(e.Pass.Operator, textKey(string(e.Pass.ID)))) == nil, nil
	case e.Contact != nil:
		latest, _, err := t.latest(e.Contact.Operator, e.Contact.ID)
		return latest.Version < e.Contact.Version, err
	}
	return false, nil
}

// restore puts into the database what a line holds. The event that made a
// version of a contact is over then: worked again, it would log a second one.
func (t tx) restore(e entry, l *ledger) error {
	switch {
	case e.Operator != nil:
		newest := l.operators[e.Operator.ID]
		return put(t.in(inOperators), opKey(newest.ID), newest)
	case e.Pass != nil:
		return t.putPass(*e.Pass)
	case e.Contact != nil:
		if event := e.Contact.Cause.Event; event != "" {
			if _, err := t.takeEvent(event, e.Contact.Made); err != nil {
				return err
			}
		}
		return t.storeContact(*e.Contact)
	}
	return nil
}

// topUp gives the journal what only the database has.
func (s *Store) topUp(l *ledger) error {
	var lines []entry
	err := s.read(func(t tx) error {
		err := scan(t.in(inOperators), nil, func(_ []byte, o Operator) (bool, error) {
			if now := settings(o); !same(now, l.operators[o.ID]) {
				lines = append(lines, entry{Operator: &now})
			}
			return true, nil
		})
		if err != nil {
			return err
		}
		return scan(t.in(inContacts), nil, func(_ []byte, c Contact) (bool, error) {
			if l.contacts[contactOf{c.Operator, c.ID, c.Version}] {
				return true, nil
			}
			more, err := t.journalLines(Changes{Contacts: []Contact{c}})
			lines = append(lines, more...)
			return true, err
		})
	})
	if err != nil || len(lines) == 0 {
		return err
	}
	lines = s.journal.fresh(lines)
	if err := s.journal.append(lines); err != nil {
		s.notice("the contact journal could not be written (%v): what it lacks is added as soon as that works again", err)
		return nil
	}
	s.notice("the contact journal lacked %d lines: added", len(lines))
	return nil
}

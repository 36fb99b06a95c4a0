package storage

import (
	"bufio"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
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
	operators map[OperatorID]Operator
	passes    map[passOf]bool
	contacts  map[contactOf]bool
	forgotten map[string]forgetting // by who
	void, bad int                   // lines
}

// forgetting voids the lines of an operator before one.
type forgetting struct {
	line int
	at   time.Time
}

// surveyJournal reads what the journal holds.
func surveyJournal(path string) (*ledger, error) {
	l := &ledger{
		operators: map[OperatorID]Operator{}, passes: map[passOf]bool{},
		contacts: map[contactOf]bool{}, forgotten: map[string]forgetting{},
	}
	var err error
	l.bad, err = readJournalFile(path, func(n int, _ []byte, e entry) error {
		l.note(n, e)
		return nil
	})
	return l, err
}

func (l *ledger) note(n int, e entry) {
	switch {
	case e.Operator != nil:
		l.operators[e.Operator.ID] = *e.Operator
	case e.Pass != nil:
		l.passes[passOf{e.Pass.Operator, e.Pass.ID}] = true
	case e.Contact != nil:
		l.contacts[contactOf{e.Contact.Operator, e.Contact.ID, e.Contact.Version}] = true
	case e.Forgotten != nil:
		l.forgotten[e.Forgotten.Who] = forgetting{n, e.Forgotten.At}
		l.forget(e.Forgotten.Who)
	}
}

// forget removes what the ledger has of an operator so far.
func (l *ledger) forget(whose string) {
	before := l.size()
	maps.DeleteFunc(l.operators, func(op OperatorID, _ Operator) bool { return who(op) == whose })
	maps.DeleteFunc(l.passes, func(p passOf, _ bool) bool { return who(p.op) == whose })
	maps.DeleteFunc(l.contacts, func(c contactOf, _ bool) bool { return who(c.op) == whose })
	l.void += before - l.size()
}

func (l *ledger) size() int { return len(l.operators) + len(l.passes) + len(l.contacts) }

// isVoid reports whether a line was written before its operator was forgotten.
func (l *ledger) isVoid(n int, e entry) bool {
	op := e.of()
	return op != "" && len(l.forgotten) > 0 && n < l.forgotten[who(op)].line
}

// empty reports that nothing could be restored from the journal.
func (l *ledger) empty() bool { return len(l.operators) == 0 && len(l.contacts) == 0 }

// reconcile makes database and journal hold the same at an opening: the
// database gets what only the journal has (it was deleted, or an older copy was
// put in its place), the journal what only the database has (a write of it
// failed). Forgotten operators are forgotten in both.
func (s *Store) reconcile() error {
	path := filepath.Join(s.dir, journalName)
	l, err := surveyJournal(path)
	if err != nil {
		return fmt.Errorf("read the contact journal: %w", err)
	}
	if l.bad > 0 || l.void > 0 {
		if err := s.mendJournal(path, l); err != nil {
			return fmt.Errorf("mend the contact journal: %w", err)
		}
		if l, err = surveyJournal(path); err != nil {
			return fmt.Errorf("read the mended contact journal: %w", err)
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

// restoreFrom gives the database what only the journal has, which holds no void
// lines by now. It writes nothing if that is nothing: a store opens on a full
// disk, too.
func (s *Store) restoreFrom(path string, l *ledger) error {
	var whole bool
	err := s.read(func(t tx) (err error) {
		whole, err = t.hasAll(l)
		return err
	})
	if err != nil || whole {
		return err
	}
	var contacts, operators int
	err = s.update(func(t tx) error {
		gone, err := t.returned(l.forgotten)
		if err := errors.Join(err, each(gone, t.forget)); err != nil {
			return err
		}
		_, err = readJournalFile(path, func(_ int, _ []byte, e entry) error {
			if lacks, err := t.lacks(e, l); err != nil || !lacks {
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
		return err
	})
	if err == nil && contacts+operators > 0 {
		s.notice("restored from the contact journal: %d versions of contacts, %d operators", contacts, operators)
	}
	return err
}

// hasAll reports whether the database lacks nothing that the journal has, and
// holds nobody who was forgotten.
func (t tx) hasAll(l *ledger) (bool, error) {
	gone, err := t.returned(l.forgotten)
	if err != nil || len(gone) > 0 {
		return false, err
	}
	for _, o := range l.operators {
		if lacks, err := t.lacksOperator(o); err != nil || lacks {
			return false, err
		}
	}
	for p := range l.passes {
		if !t.hasPass(p.op, p.id) {
			return false, nil
		}
	}
	for c := range l.contacts {
		if !t.hasVersion(c.op, c.id, c.version) {
			return false, nil
		}
	}
	return true, nil
}

func (t tx) hasOperator(op OperatorID) bool { return t.in(inOperators).Get(opKey(op)) != nil }

func (t tx) hasPass(op OperatorID, id PassID) bool {
	return t.in(inPasses).Get(passKey(op, id)) != nil
}

func (t tx) hasVersion(op OperatorID, id uint64, version int) bool {
	return t.in(inContacts).Get(contactKey(op, id, version)) != nil
}

// returned are operators who were forgotten after they had joined: an older
// copy of the database still holds them.
func (t tx) returned(gone map[string]forgetting) ([]OperatorID, error) {
	if len(gone) == 0 {
		return nil, nil
	}
	var ops []OperatorID
	err := scan(t.in(inOperators), nil, func(_ []byte, o Operator) (bool, error) {
		if f, is := gone[who(o.ID)]; is && !o.Joined.After(f.at) {
			ops = append(ops, o.ID)
		}
		return true, nil
	})
	return ops, err
}

// lacks reports whether the database lacks what a line holds.
func (t tx) lacks(e entry, l *ledger) (bool, error) {
	switch {
	case e.Operator != nil:
		return t.lacksOperator(l.operators[e.Operator.ID])
	case e.Pass != nil:
		return !t.hasPass(e.Pass.Operator, e.Pass.ID), nil
	case e.Contact != nil:
		return !t.hasVersion(e.Contact.Operator, e.Contact.ID, e.Contact.Version), nil
	}
	return false, nil
}

// lacksOperator reports whether the database has no or older settings.
func (t tx) lacksOperator(newest Operator) (bool, error) {
	o, known, err := get[Operator](t.in(inOperators), opKey(newest.ID))
	older := o.Heard.Before(newest.Heard) && !same(settings(o), settings(newest))
	return !known || older, err
}

// restore puts into the database what a line holds. The event that made a
// version of a contact is over then: worked again, it would log a second one.
func (t tx) restore(e entry, l *ledger) error {
	switch {
	case e.Operator != nil:
		return t.restoreOperator(l.operators[e.Operator.ID])
	case e.Pass != nil:
		return t.putPass(*e.Pass)
	case e.Contact != nil:
		var err error
		if event := e.Contact.Cause.Event; event != "" {
			_, err = t.takeEvent(event, e.Contact.Made)
		}
		return errors.Join(err, t.storeContact(*e.Contact))
	}
	return nil
}

// restoreOperator takes over the settings and leaves the conversation alone.
func (t tx) restoreOperator(newest Operator) error {
	o, _, err := get[Operator](t.in(inOperators), opKey(newest.ID))
	if err != nil {
		return err
	}
	o.ID, o.Joined, o.Call = newest.ID, newest.Joined, newest.Call
	o.Place, o.Remind, o.Heard = newest.Place, newest.Remind, newest.Heard
	o.Radio, o.Wanted = newest.Radio, newest.Wanted
	return put(t.in(inOperators), opKey(o.ID), o)
}

// topUp gives the journal what only the database has.
func (s *Store) topUp(l *ledger) error {
	var lines []entry
	err := s.read(func(t tx) error {
		err := scan(t.in(inOperators), nil, func(_ []byte, o Operator) (bool, error) {
			if !same(settings(o), settings(l.operators[o.ID])) {
				lines = append(lines, operatorLine(o))
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
	if s.journalise(lines) {
		s.notice("the contact journal lacked %d lines: added", len(lines))
	}
	return nil
}

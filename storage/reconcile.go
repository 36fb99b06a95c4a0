package storage

import (
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"time"

	"skyslate/storage/backups"
	"skyslate/storage/changes"
	"skyslate/storage/disk"
	"skyslate/storage/journal"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// ledger is what the journal holds, by name.
type ledger struct {
	operators map[OperatorID]Operator
	records   map[recordName]bool    // passes and versions of contacts
	forgotten map[string]forgetting  // by who
	last      map[OperatorID]Contact // of each operator the one with the highest number
	void, bad int                    // lines

	kept *changes.History // of who is let in
}

// forgetting voids the lines of an operator before one.
type forgetting struct {
	line int
	at   time.Time
}

func newLedger() *ledger {
	return &ledger{
		operators: map[OperatorID]Operator{}, records: map[recordName]bool{}, forgotten: map[string]forgetting{},
		last: map[OperatorID]Contact{}, kept: changes.New(),
	}
}

// surveyJournal reads what the journal holds, which may be missing.
func surveyJournal(path string) (l *ledger, err error) {
	l = newLedger()
	l.bad, err = journal.ReadFile(path, l.note)
	return l, err
}

// rewriteJournal writes the journal anew with the lines that keep says.
func rewriteJournal(path string, keep func(n int, e entry) bool) (*ledger, error) {
	if err := journal.Rewrite(path, keep); err != nil {
		return nil, err
	}
	return surveyJournal(path)
}

// note takes a line into the ledger.
func (l *ledger) note(n int, _ []byte, e entry) error {
	switch {
	case e.Operator != nil:
		if !e.Operator.Heard.Before(l.operators[e.Operator.ID].Heard) {
			l.operators[e.Operator.ID] = *e.Operator
		}
	case e.Pass != nil, e.Contact != nil:
		l.records[e.name()] = true
		if c := e.Contact; c != nil && c.ID >= l.last[c.Operator].ID {
			l.last[c.Operator] = *c
		}
	case e.Kept != nil:
		l.kept.Note(*e.Kept)
	case e.Forgotten != nil:
		if e.Forgotten.At.After(l.forgotten[e.Forgotten.Who].at) { // else it was said before
			l.forgotten[e.Forgotten.Who] = forgetting{n, e.Forgotten.At}
			l.forget(e.Forgotten.Who)
		}
	}
	return nil
}

// forget removes what the ledger has of an operator so far.
func (l *ledger) forget(whose string) {
	before := len(l.operators) + len(l.records)
	maps.DeleteFunc(l.operators, func(op OperatorID, _ Operator) bool { return who(op) == whose })
	maps.DeleteFunc(l.records, func(r recordName, _ bool) bool { return who(r.op) == whose })
	maps.DeleteFunc(l.last, func(op OperatorID, _ Contact) bool { return who(op) == whose })
	l.void += before - len(l.operators) - len(l.records)
}

// isVoid reports whether a line was written before its operator was forgotten, or is
// one of too many about kept values that were replaced.
func (l *ledger) isVoid(n int, e entry) bool {
	if e.Kept != nil {
		return l.kept.Stale > mostStale && !l.kept.Holds(*e.Kept)
	}
	op := e.name().op
	return op != "" && len(l.forgotten) > 0 && n < l.forgotten[who(op)].line
}

// reconcile makes database and journal hold the same at an opening: the
// database gets what only the journal has (it was deleted, or an older copy was
// put in its place), the journal what only the database has (a write of it
// failed). Forgotten operators are forgotten in both.
func (s opening) reconcile() error {
	path := filepath.Join(s.dir, journalName)
	known, ok, err := s.knownJournal()
	if err != nil {
		return err
	}
	if ok {
		if s.journal = journal.Resume(path, known); s.journal != nil {
			s.tellAdded(s.journal.Behind())
			s.journalise()
			return nil
		}
	}
	l, err := surveyJournal(path)
	if err != nil {
		return fmt.Errorf("read the contact journal: %w", err)
	}
	if l.bad > 0 || l.void > 0 || l.kept.Stale > mostStale {
		if l, err = s.mendJournal(path, l); err != nil {
			return fmt.Errorf("mend the contact journal: %w", err)
		}
	}
	if err := s.restoreFrom(path, l); err != nil {
		return fmt.Errorf("restore from the contact journal: %w", err)
	}
	if err := s.mend(l); err != nil {
		return fmt.Errorf("mend what is missing: %w", err)
	}
	title, err := table.Encode(entry{Journal: journalTitle})
	if err == nil {
		s.journal, err = journal.Open(path, title)
	}
	if err != nil {
		return fmt.Errorf("open the contact journal: %w", err)
	}
	return s.topUp(l)
}

// knownJournal is what the database knows of the journal, unless both are to be
// compared in any case: the database was made anew, somebody was being forgotten, or
// too many lines of the journal are out of date.
func (s opening) knownJournal() (known journal.State, ok bool, err error) {
	err = s.read(func(t *tx) {
		known, ok = stateKey.Get(t.Tx)
		ok = ok && !mendingKey.Has(t.Tx) && len(tracesKey.Of(t.Tx)) == 0 && revKey.Of(t.Tx) <= comparedKey.Of(t.Tx)+mostStale
	})
	return known, ok, err
}

// comparedKey is where the number of the last change of a kept value stands at the time
// when the journal was last compared with the database.
const comparedKey schema.Value[uint64] = "compared"

// mend looks for what is missing in a database that was made anew.
func (s opening) mend(l *ledger) error {
	var m mending
	var made bool
	err := s.read(func(t *tx) { m, made = mendingKey.Get(t.Tx) })
	if err != nil || !made {
		return err
	}
	if err := s.update(func(t *tx) { mender{t}.unhook() }); err != nil {
		return err
	}
	if err := s.forgetReturned(l.forgotten); err != nil {
		return err
	}
	contacts := 0
	if err := s.update(func(t *tx) { contacts = mender{t}.mend(m) }); err != nil {
		return err
	}
	if contacts > 0 {
		s.notice("%d contacts are lost, or their latest changes", contacts)
	}
	switch {
	case m.All:
		s.notice("messages and what came of them may be lost")
	case !m.Since.IsZero():
		s.notice("messages after %s, and what came of them, may be lost", m.Since.UTC().Format(time.RFC3339))
	}
	return nil
}

// mendJournal writes the journal anew without its unreadable and void lines.
// With unreadable ones the old file is kept under another name.
func (s opening) mendJournal(path string, l *ledger) (*ledger, error) {
	if l.bad > 0 {
		kept, err := disk.KeepAside(path)
		if err != nil {
			return nil, err
		}
		s.notice("%d lines of the contact journal could not be read; "+
			"it was mended, and the file as it was is kept as %s", l.bad, kept)
	}
	return rewriteJournal(path, func(n int, e entry) bool { return !l.isVoid(n, e) })
}

// restoreFrom gives the database what only the journal has, which holds no void
// lines by now. It writes nothing if that is nothing: a store opens on a full
// disk, too.
func (s opening) restoreFrom(path string, l *ledger) error {
	var whole bool
	err := s.read(func(t *tx) { whole = t.hasAll(l) })
	if err != nil || whole {
		return err
	}
	if err := s.joinAnother(path, l); err != nil {
		return err
	}
	if err := s.update(func(t *tx) { t.restoreKept(l) }); err != nil {
		return err
	}
	if err := s.forgetReturned(l.forgotten); err != nil {
		return err
	}
	var contacts, operators int
	err = s.update(func(t *tx) {
		_, err := journal.ReadFile(path, func(_ int, _ []byte, e entry) error {
			switch {
			case e.Operator != nil && t.restoreOperator(l.operators[e.Operator.ID]):
				operators++
			case e.Pass != nil && !t.holds(e.name()):
				t.putPass(*e.Pass)
			case e.Contact != nil && !t.holds(e.name()):
				contacts++
				t.restoreContact(*e.Contact)
			}
			return t.Err()
		})
		t.Fail(err)
		if contacts > 0 && !mendingKey.Has(t.Tx) { // an older copy was put in its place
			known := backups.InDatabase.Of(t.Tx)
			mendingKey.Set(t.Tx, mending{Losses: Losses{Since: known.Made, All: known.Made.IsZero()}})
		}
	})
	if err == nil && contacts+operators > 0 {
		s.notice("restored from the contact journal: %d versions of contacts, %d operators", contacts, operators)
	}
	return err
}

// hasAll reports whether the database lacks nothing that the journal has, and
// holds nobody who was forgotten.
func (t *tx) hasAll(l *ledger) bool {
	if len(t.returned(l.forgotten)) > 0 || t.behind(l) {
		return false
	}
	for _, o := range l.operators {
		if _, lacks := t.lacksOperator(o); lacks {
			return false
		}
	}
	for _, r := range slices.SortedFunc(maps.Keys(l.records), recordName.compare) { // neighbours are read together
		if !t.holds(r) {
			return false
		}
	}
	for _, c := range l.last {
		if (mender{t}).hasAnother(c) {
			return false
		}
	}
	return true
}

// holds reports whether the database has an operator, a pass or a version.
func (t *tx) holds(r recordName) bool {
	switch {
	case r.pass != "":
		return t.In(schema.Passes).Has(passKey(r.op, r.pass))
	case r.contact != 0:
		return t.In(schema.Contacts).Has(contactKey(r.op, r.contact, r.version))
	}
	return t.In(schema.Operators).Has(opKey(r.op))
}

// forgetReturned forgets them again, and that they were let in.
func (s opening) forgetReturned(gone map[string]forgetting) error {
	var ops []OperatorID
	err := s.read(func(t *tx) { ops = t.returned(gone) })
	for _, op := range ops {
		if err == nil {
			err = s.update(func(t *tx) {
				table.DeleteWhere(t.In(schema.Kept), []byte(GuestsKey), func(k, _ []byte) bool { return namesOperator(k, op) })
				tracesKey.Set(t.Tx, append(tracesKey.Of(t.Tx), who(op)))
			})
		}
		if err == nil {
			err = s.forgetOwn(op)
		}
	}
	return err
}

// returned are operators who were forgotten after they had joined: an older
// copy of the database still holds them.
func (t *tx) returned(gone map[string]forgetting) (ops []OperatorID) {
	if len(gone) == 0 {
		return nil
	}
	for _, o := range table.Scan[Operator](t.In(schema.Operators), nil) {
		if f, is := gone[who(o.ID)]; is && !o.Joined.After(f.at) {
			ops = append(ops, o.ID)
		}
	}
	return ops
}

// lacksOperator reports whether the database has no or older settings.
func (t *tx) lacksOperator(newest Operator) (old Operator, lacks bool) {
	old, known := table.Get[Operator](t.In(schema.Operators), opKey(newest.ID))
	older := old.Heard.Before(newest.Heard) && !table.Same(settingsOf(old), settingsOf(newest))
	return old, !known || older || old.Given < newest.Given || old.Phoned < newest.Phoned
}

// restoreOperator takes over settings that are newer and leaves the conversation
// alone.
func (t *tx) restoreOperator(newest Operator) (restored bool) {
	o, lacks := t.lacksOperator(newest)
	if !lacks {
		return false
	}
	old := o
	if !newest.Heard.Before(o.Heard) {
		o.takeSettings(newest)
		o.Heard = newest.Heard
	}
	o.Given, o.Phoned = max(o.Given, newest.Given), max(o.Phoned, newest.Phoned)
	t.putOperator(old, o)
	return true
}

// restoreContact stores a version. The event that made it is over then: worked
// again, it would log a second one.
func (t *tx) restoreContact(c Contact) {
	if c.Cause.Event != "" {
		t.takeEvent(c.Cause.Event, c.Made)
	}
	t.storeContact(c)
}

// topUp gives the journal what only the database has.
func (s opening) topUp(l *ledger) error {
	var lines []entry
	err := s.read(func(t *tx) {
		for _, o := range table.Scan[Operator](t.In(schema.Operators), nil) {
			if !table.Same(settingsOf(o), settingsOf(l.operators[o.ID])) {
				lines = append(lines, operatorLine(o))
			}
		}
		for _, c := range table.Scan[Contact](t.In(schema.Contacts), nil) {
			for _, line := range t.contactLines(c) {
				if n := line.name(); !l.records[n] {
					l.records[n] = true
					lines = append(lines, line)
				}
			}
		}
		lines = append(lines, t.unjournalledKept(l)...)
	})
	if err != nil {
		return err
	}
	err = s.update(func(t *tx) {
		t.lines = lines
		comparedKey.Set(t.Tx, revKey.Of(t.Tx))
	})
	if errors.Is(err, ErrNoSpace) {
		return nil // the next opening will
	}
	if err == nil {
		s.tellAdded(len(lines))
	}
	return err
}

func (s opening) tellAdded(lines int) {
	if lines > 0 {
		s.notice("the contact journal lacked %d lines: added", lines)
	}
}

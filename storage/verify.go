package storage

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	bolt "go.etcd.io/bbolt"
)

// Report is what a store holds.
type Report struct {
	Path      string // of the database
	Schema    int
	Operators []OperatorReport // by ID
	Inbox     int              // received, not worked yet
	SetAside  int              // received, could not be worked
	Faults    []Fault          // those, and posts that could not go out; the oldest first
	Owed      int              // posts that must still go out
	Agenda    int              // moments to come
}

// OperatorReport is what a store holds of one operator.
type OperatorReport struct {
	ID       OperatorID
	Call     string
	Contacts int
	Versions int // of contacts
	Passes   int
	Messages int
}

// maxProblems is how many findings an error lists.
const maxProblems = 20

// Verify walks through a store's directory or a backup file and changes
// nothing: pages, checksums, each index against what it points to, contacts
// against passes and operators, and the journal against the contacts. The error
// says in sentences what is wrong; the report is good as far as it goes.
func Verify(path string) (Report, error) {
	s, err := OpenForRead(path)
	if err != nil {
		return Report{Path: path}, err
	}
	defer s.Close()
	a := &audit{report: Report{Path: s.path}, problems: s.Notices()}
	err = s.read(func(t tx) error {
		a.tx = t
		return guard(true, a.run)
	})
	if err == nil && s.dir != "" {
		err = a.journal(filepath.Join(s.dir, journalName))
	}
	if err != nil {
		return a.report, s.explain(err)
	}
	return a.report, a.verdict()
}

// audit collects what is wrong.
type audit struct {
	tx
	report   Report
	problems []string
	contacts map[contactOf]string // the JSON of each version
}

func (a *audit) wrong(format string, args ...any) {
	a.problems = append(a.problems, fmt.Sprintf(format, args...))
}

func (a *audit) verdict() error {
	if len(a.problems) == 0 {
		return nil
	}
	var text strings.Builder
	text.WriteString(fmt.Sprintf("%s is damaged:", a.report.Path))
	for _, p := range a.problems[:min(len(a.problems), maxProblems)] {
		text.WriteString("\n  " + p)
	}
	if more := len(a.problems) - maxProblems; more > 0 {
		text.WriteString(fmt.Sprintf("\n  and %d more", more))
	}
	return &fault{ErrDamaged, text.String()}
}

func (a *audit) run() error {
	for err := range a.Check() {
		a.wrong("pages: %v", err)
	}
	h, err := a.header()
	if err != nil {
		return err
	}
	a.report.Schema = h.Schema
	for _, step := range []func() error{
		a.strays, a.operators, a.passes, a.contactRecords, a.messages, a.inbox, a.agenda, a.posts,
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// strays reports buckets that don't belong here.
func (a *audit) strays() error {
	return a.ForEach(func(name []byte, _ *bolt.Bucket) error {
		if !slices.Contains(bucketNames(), string(name)) {
			a.wrong("there is an unknown bucket %q", name)
		}
		return nil
	})
}

// index compares the keys of an index with the ones it should have.
func (a *audit) index(name string, want map[string]bool) error {
	if a.in(name).Bucket == nil && a.report.Schema < schema {
		return nil // an older schema has no such index
	}
	err := a.in(name).ForEach(func(k, _ []byte) error {
		if !want[string(k)] {
			a.wrong("%s: %q leads nowhere", name, k)
		}
		delete(want, string(k))
		return nil
	})
	for k := range want {
		a.wrong("%s: %q is missing", name, k)
	}
	return err
}

func (a *audit) operators() error {
	return scan(a.in(inOperators), nil, func(k []byte, o Operator) (bool, error) {
		if string(k) != string(opKey(o.ID)) {
			a.wrong("operator %q lies under another key", o.ID)
		}
		a.report.Operators = append(a.report.Operators, OperatorReport{ID: o.ID, Call: o.Call.String()})
		return true, nil
	})
}

func (a *audit) of(op OperatorID, what string) *OperatorReport {
	for i := range a.report.Operators {
		if a.report.Operators[i].ID == op {
			return &a.report.Operators[i]
		}
	}
	a.wrong("%s is of the unknown operator %q", what, op)
	return new(OperatorReport)
}

// auditRecords notes each record of a kind and compares its index.
func auditRecords[T any](a *audit, x indexed[T], note func(T)) error {
	want := map[string]bool{}
	err := scan(a.in(x.records), nil, func(_ []byte, v T) (bool, error) {
		note(v)
		want[string(x.indexKey(v))] = true
		return true, nil
	})
	if err != nil {
		return err
	}
	return a.index(x.index, want)
}

func (a *audit) passes() error {
	return auditRecords(a, passRecords, func(p Pass) { a.of(p.Operator, fmt.Sprintf("pass %s", p.ID)).Passes++ })
}

func (a *audit) contactRecords() error {
	want := map[string]map[string]bool{
		inContactsByPass: {}, inContactsByCall: {}, inContactsByTime: {}, inContactsBySquare: {}, inContactsByTail: {},
	}
	a.contacts = map[contactOf]string{}
	err := scan(a.in(inContacts), nil, func(_ []byte, c Contact) (bool, error) {
		if a.isLatest(c) {
			a.of(c.Operator, fmt.Sprintf("contact %d", c.ID)).Contacts++
			for index, keys := range contactIndexKeys(c) {
				for _, k := range keys {
					want[index][string(k)] = true
				}
			}
		}
		return true, a.version(c)
	})
	for index, keys := range want {
		err = errors.Join(err, a.index(index, keys))
	}
	return errors.Join(err, a.handed())
}

func (a *audit) version(c Contact) error {
	a.of(c.Operator, fmt.Sprintf("contact %d", c.ID)).Versions++
	if c.Pass != "" && !a.hasPass(c.Operator, c.Pass) {
		a.wrong("contact %d of %q is of the unknown pass %q", c.ID, c.Operator, c.Pass)
	}
	text, err := encode(c)
	a.contacts[contactOf{c.Operator, c.ID, c.Version}] = string(text)
	return err
}

func (a *audit) handed() error {
	return scan(a.in(inHanded), nil, func(k []byte, h handOver) (bool, error) {
		if a.in(inContacts).Get(key(k, versionKey(h.Version))) == nil {
			a.wrong("handed: %q is about an unknown version %d", k, h.Version)
		}
		return true, nil
	})
}

func (a *audit) messages() error {
	return auditRecords(a, messageRecords, func(m Message) {
		a.of(m.Operator, fmt.Sprintf("message %d", m.ID)).Messages++
		if m.Sitting != 0 && a.in(inSittings).Get(opKey(m.Operator, uintKey(m.Sitting))) == nil {
			a.wrong("message %d of %q is evidence in the unknown sitting %d", m.ID, m.Operator, m.Sitting)
		}
	})
}

func (a *audit) inbox() error {
	waiting := indexed[Raw]{records: inInbox, index: inInboxByID, indexKey: func(r Raw) []byte { return textKey(r.ID) }}
	err := auditRecords(a, waiting, func(Raw) { a.report.Inbox++ })
	if err != nil {
		return err
	}
	a.report.SetAside = len(keysWith(a.in(inDead), nil))
	a.report.Faults, err = a.faults()
	return err
}

func (a *audit) agenda() error {
	return auditRecords(a, itemRecords, func(Item) { a.report.Agenda++ })
}

func (a *audit) posts() error {
	owed, out := map[string]bool{}, map[string]bool{}
	err := scan(a.in(inPosts), nil, func(_ []byte, p outPost) (bool, error) {
		switch {
		case p.owed():
			a.report.Owed++
			owed[string(uintKey(p.Seq))] = true
		case p.out():
			out[string(opKey(p.Operator, intKey(p.AppID)))] = true
		}
		return true, nil
	})
	if err != nil {
		return err
	}
	return errors.Join(a.index(inOwed, owed), a.index(inPostsByApp, out))
}

// journal compares the journal's lines with the contacts, both ways.
func (a *audit) journal(path string) error {
	l, err := surveyJournal(path)
	if err != nil {
		return err
	}
	if l.bad > 0 {
		a.wrong("the contact journal has %d unreadable lines", l.bad)
	}
	seen := map[contactOf]bool{}
	_, err = readJournalFile(path, func(n int, _ []byte, e entry) error {
		if e.Contact == nil || l.isVoid(n, e) {
			return nil
		}
		name := contactOf{e.Contact.Operator, e.Contact.ID, e.Contact.Version}
		seen[name] = true
		text, err := encode(e.Contact)
		if known, ok := a.contacts[name]; !ok {
			a.wrong("only the contact journal has contact %d, version %d of %q", name.id, name.version, name.op)
		} else if known != string(text) {
			a.wrong("the contact journal has another contact %d, version %d of %q", name.id, name.version, name.op)
		}
		return err
	})
	for name := range a.contacts {
		if !seen[name] {
			a.wrong("the contact journal lacks contact %d, version %d of %q", name.id, name.version, name.op)
		}
	}
	if _, missing := os.Stat(path); missing != nil && len(a.contacts) == 0 {
		return nil
	}
	return err
}

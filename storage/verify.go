package storage

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

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
	a := &audit{report: Report{Path: s.path}, problems: s.Notices(), contacts: map[recordName]string{}}
	err = s.read(func(t *tx) {
		a.tx = t
		t.fail(guard(true, a.run))
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
	*tx
	report   Report
	problems []string
	contacts map[recordName]string // the JSON of each version
}

func (a *audit) wrong(format string, args ...any) {
	a.problems = append(a.problems, fmt.Sprintf(format, args...))
}

func (a *audit) verdict() error {
	if len(a.problems) == 0 {
		return nil
	}
	text := fmt.Sprintf("%s is damaged:", a.report.Path)
	for _, p := range a.problems[:min(len(a.problems), maxProblems)] {
		text += "\n  " + p
	}
	if more := len(a.problems) - maxProblems; more > 0 {
		text += fmt.Sprintf("\n  and %d more", more)
	}
	return &fault{ErrDamaged, text}
}

func (a *audit) run() error {
	for err := range a.Check() {
		a.wrong("pages: %v", err)
	}
	a.report.Schema = a.header().Schema
	if a.err != nil {
		return a.err
	}
	a.fail(a.ForEach(func(name []byte, _ *bolt.Bucket) error {
		if !slices.Contains(bucketNames, string(name)) {
			a.wrong("there is an unknown bucket %q", name)
		}
		return nil
	}))
	for k, o := range scan[Operator](a.in(inOperators), nil) {
		if string(k) != string(opKey(o.ID)) {
			a.wrong("operator %q lies under another key", o.ID)
		}
		a.report.Operators = append(a.report.Operators, OperatorReport{ID: o.ID, Call: o.Call.String()})
	}
	auditRecords(a, passRecords, func(p Pass) { a.of(p.Operator, "pass %s", p.ID).Passes++ })
	a.contactRecords()
	auditRecords(a, messageRecords, func(m Message) {
		a.of(m.Operator, "message %d", m.ID).Messages++
		if m.Sitting != 0 && !a.in(inSittings).has(opKey(m.Operator, uintKey(m.Sitting))) {
			a.wrong("message %d of %q is evidence in the unknown sitting %d", m.ID, m.Operator, m.Sitting)
		}
	})
	inbox := indexed[Raw]{records: inInbox, index: inInboxByID, indexKey: func(r Raw) []byte { return textKey(r.ID) }}
	auditRecords(a, inbox, func(Raw) { a.report.Inbox++ })
	for range a.in(inDead).up(nil, nil) {
		a.report.SetAside++
	}
	a.report.Faults = a.faults()
	auditRecords(a, itemRecords, func(Item) { a.report.Agenda++ })
	a.posts()
	return a.err
}

// index compares the keys of an index with the ones it should have.
func (a *audit) index(name string, want map[string]bool) {
	if a.in(name).in == nil && a.report.Schema < schema {
		return // an older schema has no such index
	}
	for k := range a.in(name).up(nil, nil) {
		if !want[string(k)] {
			a.wrong("%s: %q leads nowhere", name, k)
		}
		delete(want, string(k))
	}
	for k := range want {
		a.wrong("%s: %q is missing", name, k)
	}
}

// of is the report on the operator of a record, which is named so in a finding.
func (a *audit) of(op OperatorID, format string, id any) *OperatorReport {
	for i := range a.report.Operators {
		if a.report.Operators[i].ID == op {
			return &a.report.Operators[i]
		}
	}
	a.wrong(format+" is of the unknown operator %q", id, op)
	return new(OperatorReport)
}

// auditRecords notes each record of a kind and compares its index.
func auditRecords[T any](a *audit, x indexed[T], note func(T)) {
	want := map[string]bool{}
	for _, v := range scan[T](a.in(x.records), nil) {
		note(v)
		want[string(x.indexKey(v))] = true
	}
	a.index(x.index, want)
}

func (a *audit) contactRecords() {
	want := map[string]map[string]bool{}
	for _, index := range contactIndexes {
		want[index] = map[string]bool{}
	}
	for _, c := range scan[Contact](a.in(inContacts), nil) {
		of := a.of(c.Operator, "contact %d", c.ID)
		of.Versions++
		if a.isLatest(c) {
			of.Contacts++
			for _, k := range contactIndexKeys(c) {
				want[k.index][string(k.key)] = true
			}
		}
		if c.Pass != "" && !a.holds(recordName{op: c.Operator, pass: c.Pass}) {
			a.wrong("contact %d of %q is of the unknown pass %q", c.ID, c.Operator, c.Pass)
		}
		text, err := encode(c)
		a.fail(err)
		a.contacts[c.name()] = string(text)
	}
	for index, keys := range want {
		a.index(index, keys)
	}
	for k, h := range scan[handOver](a.in(inHanded), nil) {
		if !a.in(inContacts).has(key(k, versionKey(h.Version))) {
			a.wrong("handed: %q is about an unknown version %d", k, h.Version)
		}
	}
}

func (a *audit) posts() {
	owed, out := map[string]bool{}, map[string]bool{}
	for _, p := range scan[outPost](a.in(inPosts), nil) {
		switch {
		case p.owed():
			a.report.Owed++
			owed[string(uintKey(p.Seq))] = true
		case p.out():
			out[string(opKey(p.Operator, intKey(p.AppID)))] = true
		}
	}
	a.index(inOwed, owed)
	a.index(inPostsByApp, out)
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
	seen := map[recordName]bool{}
	_, err = readJournalFile(path, func(n int, _ []byte, e entry) error {
		if e.Contact == nil || l.isVoid(n, e) {
			return nil
		}
		r := e.name()
		seen[r] = true
		text, err := encode(e.Contact)
		if known, ok := a.contacts[r]; !ok {
			a.wrong("only the contact journal has contact %d, version %d of %q", r.contact, r.version, r.op)
		} else if known != string(text) {
			a.wrong("the contact journal has another contact %d, version %d of %q", r.contact, r.version, r.op)
		}
		return err
	})
	for r := range a.contacts {
		if !seen[r] {
			a.wrong("the contact journal lacks contact %d, version %d of %q", r.contact, r.version, r.op)
		}
	}
	if _, missing := os.Stat(path); missing != nil && len(a.contacts) == 0 {
		return nil
	}
	return err
}

package storage

import (
	"fmt"
	"hash/crc32"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"skyslate/storage/database"
	"skyslate/storage/fault"
	"skyslate/storage/index"
	"skyslate/storage/journal"
	"skyslate/storage/keys"
	"skyslate/storage/schema"
	"skyslate/storage/table"
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
	// Unjournalled are the versions of contacts that the journal lacks and that the
	// next start adds: the program was killed before it could.
	Unjournalled int
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
	a := &audit{
		report: Report{Path: s.path}, problems: s.Notices(),
		operators: map[OperatorID]*OperatorReport{}, contacts: map[recordName]uint32{},
	}
	err = s.read(func(t *tx) {
		a.tx = t
		t.Fail(database.Guard(true, a.run))
	})
	for _, id := range slices.Sorted(maps.Keys(a.operators)) {
		a.report.Operators = append(a.report.Operators, *a.operators[id])
	}
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
	report    Report
	problems  []string
	operators map[OperatorID]*OperatorReport
	contacts  map[recordName]uint32 // the checksum of each version's JSON
}

func (a *audit) wrong(format string, args ...any) {
	a.problems = append(a.problems, fmt.Sprintf(format, args...))
}

func (a *audit) verdict() error {
	if len(a.problems) == 0 {
		return nil
	}
	shown := a.problems[:min(len(a.problems), maxProblems)]
	if more := len(a.problems) - len(shown); more > 0 {
		shown = append(slices.Clone(shown), fmt.Sprintf("and %d more", more))
	}
	return fault.Damaged("%s is damaged:\n  %s", a.report.Path, strings.Join(shown, "\n  "))
}

func (a *audit) run() error {
	for err := range a.Check() {
		a.wrong("pages: %v", err)
	}
	a.report.Schema = schema.Of(a.Tx)
	if a.Err() != nil {
		return a.Err()
	}
	for _, name := range a.Names() {
		if !slices.Contains(schema.All, name) && name != database.Filler {
			a.wrong("there is an unknown bucket %q", name)
		}
	}
	for k, o := range table.Scan[Operator](a.In(schema.Operators), nil) {
		if string(k) != string(opKey(o.ID)) {
			a.wrong("operator %q lies under another key", o.ID)
		}
		a.operators[o.ID] = &OperatorReport{ID: o.ID, Call: o.Call.String()}
	}
	a.records()
	for k, h := range table.Scan[handOver](a.In(schema.Handed), nil) {
		if !a.In(schema.Contacts).Has(slices.Concat(k, keys.Version(h.Version))) {
			a.wrong("handed: %q is about an unknown version %d", k, h.Version)
		}
	}
	for range a.In(schema.Dead).Up(nil, nil) {
		a.report.SetAside++
	}
	a.report.Faults = a.faults()
	return a.Err()
}

// records counts the records and compares the indexes with them.
func (a *audit) records() {
	led := index.Expected{}
	for _, ls := range operatorRecords.Walk(a.Tx) {
		led.Add(ls)
	}
	for _, ls := range rawRecords.Walk(a.Tx) {
		led.Add(ls)
		a.report.Inbox++
	}
	for p, ls := range passRecords.Walk(a.Tx) {
		led.Add(ls)
		a.of(p.Operator, "pass %s", p.ID).Passes++
	}
	for m, ls := range messageRecords.Walk(a.Tx) {
		led.Add(ls)
		a.of(m.Operator, "message %d", m.ID).Messages++
		if m.Sitting != 0 && !a.In(schema.Sittings).Has(opKey(m.Operator, keys.Uint(m.Sitting))) {
			a.wrong("message %d of %q is evidence in the unknown sitting %d", m.ID, m.Operator, m.Sitting)
		}
	}
	for _, ls := range itemRecords.Walk(a.Tx) {
		led.Add(ls)
		a.report.Agenda++
	}
	for c, ls := range contactRecords.Walk(a.Tx) {
		led.Add(ls)
		a.contact(c, len(ls) > 0)
	}
	for p, ls := range postRecords.Walk(a.Tx) {
		led.Add(ls)
		if p.owed() {
			a.report.Owed++
		}
	}
	for _, ls := range nameRecords.Walk(a.Tx) {
		led.Add(ls)
	}
	for _, name := range schema.Indexes {
		if a.In(name).Exists() || a.report.Schema == schema.Number { // an older schema lacks some
			a.problems = append(a.problems, led.Compare(a.Tx, name)...)
		}
	}
}

// of is the report on the operator of a record, which is named so in a finding.
func (a *audit) of(op OperatorID, format string, id any) *OperatorReport {
	if o := a.operators[op]; o != nil {
		return o
	}
	a.wrong(format+" is of the unknown operator %q", id, op)
	return new(OperatorReport)
}

func (a *audit) contact(c Contact, latest bool) {
	of := a.of(c.Operator, "contact %d", c.ID)
	of.Versions++
	if latest && c.Version > 0 {
		of.Contacts++
	}
	if c.Pass != "" && !a.holds(recordName{op: c.Operator, pass: c.Pass}) {
		a.wrong("contact %d of %q is of the unknown pass %q", c.ID, c.Operator, c.Pass)
	}
	a.contacts[c.name()] = a.sum(c)
}

// sum is the checksum of a version as it reads on disk.
func (a *audit) sum(c Contact) uint32 {
	text, err := table.Encode(c)
	a.Fail(err)
	return crc32.Checksum(text, crc32.MakeTable(crc32.Castagnoli))
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
	_, err = journal.ReadFile(path, func(n int, _ []byte, e entry) error {
		if e.Contact == nil || l.isVoid(n, e) {
			return nil
		}
		r := e.name()
		seen[r] = true
		if known, ok := a.contacts[r]; !ok {
			a.wrong("only the contact journal has contact %d, version %d of %q", r.contact, r.version, r.op)
		} else if known != a.sum(*e.Contact) {
			a.wrong("the contact journal has another contact %d, version %d of %q", r.contact, r.version, r.op)
		}
		return a.Err()
	})
	for r := range a.contacts {
		if !seen[r] {
			a.report.Unjournalled++
		}
	}
	if len(seen) == 0 && len(a.contacts) > 0 {
		a.wrong("the contact journal is missing or holds nothing: the next start writes it anew")
	}
	return err
}

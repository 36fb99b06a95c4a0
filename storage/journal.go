package storage

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"time"

	"skyslate/storage/changes"
	"skyslate/storage/journal"
	"skyslate/storage/schema"
	"skyslate/storage/table"
)

// entry is one line of the contact journal (package journal): exactly one of its
// fields is set. A line of a kind that this program doesn't know is left alone.
type entry struct {
	Journal   string          `json:"journal,omitempty"` // the first line: what this file is
	Operator  *Operator       `json:"operator,omitempty"`
	Pass      *Pass           `json:"pass,omitempty"`
	Contact   *Contact        `json:"contact,omitempty"`
	Forgotten *forgotten      `json:"forgotten,omitempty"`
	Kept      *changes.Change `json:"kept,omitempty"`
}

// forgotten says that all lines before it of one operator are void. Who is a
// hash of the ID, so that the journal no longer names the operator.
type forgotten struct {
	Who string    `json:"who"`
	At  time.Time `json:"at"`
}

const journalTitle = "skyslate contacts, one version a line; the sum is a CRC-32C of what follows it"

func who(op OperatorID) string {
	sum := sha256.Sum256([]byte("skyslate operator " + op))
	return hex.EncodeToString(sum[:])
}

// recordName names what a line is about, among all operators: settings, a pass or
// a version of a contact.
type recordName struct {
	op      OperatorID
	pass    PassID
	contact uint64
	version int
}

// compare gives names the order of the database.
func (r recordName) compare(other recordName) int {
	return cmp.Or(
		cmp.Compare(r.op, other.op), cmp.Compare(r.pass, other.pass),
		cmp.Compare(r.contact, other.contact), cmp.Compare(r.version, other.version),
	)
}

func (e entry) name() recordName {
	switch {
	case e.Operator != nil:
		return recordName{op: e.Operator.ID}
	case e.Pass != nil:
		return recordName{op: e.Pass.Operator, pass: e.Pass.ID}
	case e.Contact != nil:
		return e.Contact.name()
	}
	return recordName{}
}

func (c Contact) name() recordName {
	return recordName{op: c.Operator, contact: c.ID, version: c.Version}
}

// stateKey is where the database knows the journal's state, so that an opening needs
// not compare all they hold.
const stateKey schema.Value[journal.State] = "journal"

// noteJournal makes the database know what the journal is after the transaction, and
// returns the lines that it brings. Of a pass one line is enough, and a second does no
// harm.
func (t *tx) noteJournal(j *journal.Journal) journal.Batch {
	var entries []journal.Entry
	for _, e := range t.lines {
		object, err := table.Encode(e)
		t.Fail(err)
		once := ""
		if e.Pass != nil {
			once = string(passKey(e.Pass.Operator, e.Pass.ID))
		}
		entries = append(entries, journal.Entry{Object: object, Once: once})
	}
	if j == nil || t.Err() != nil {
		return journal.Batch{}
	}
	lines, then := j.With(entries)
	if stateKey.Of(t.Tx) != then {
		stateKey.Set(t.Tx, then)
	}
	return lines
}

// journalise writes what commits have changed. They stand whatever happens here.
func (s *Store) journalise() {
	if s.journal == nil {
		return
	}
	err := s.journal.Write()
	if lagged := s.lags.Swap(err != nil); err != nil && !lagged {
		s.notice("the contact journal could not be written (%v): "+
			"what it lacks is added as soon as that works again", err)
	}
}

// contactLines are the lines of a version of a contact, after that of its pass.
func (t *tx) contactLines(c Contact) (lines []entry) {
	if p, known := passRecords.Get(t.Tx, passKey(c.Operator, c.Pass)); known {
		lines = append(lines, entry{Pass: &p})
	}
	return append(lines, entry{Contact: &c})
}

// settings are what of an operator is worth a line: not the conversation.
func settingsOf(o Operator) Operator {
	s := Operator{Given: o.Given, Phoned: o.Phoned}
	s.takeSettings(o)
	return s
}

// takeSettings takes over another's settings. Numbers of contacts, or phones, that were
// given are none: they are never taken back.
func (o *Operator) takeSettings(from Operator) {
	o.ID, o.Joined, o.Call, o.Place, o.Home = from.ID, from.Joined, from.Call, from.Place, from.Home
	o.Remind, o.Radio, o.Wanted, o.Agreeing = from.Remind, from.Radio, from.Wanted, from.Agreeing
}

// operatorLine holds the settings and, to tell older ones from newer ones, when
// the operator was last heard of.
func operatorLine(o Operator) entry {
	line := settingsOf(o)
	line.Heard = o.Heard
	return entry{Operator: &line}
}

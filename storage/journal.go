package storage

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// entry is one line of the contact journal: exactly one of its fields is set.
// The line is a JSON object whose first member is a checksum,
//
//	{"sum":"0a1b2c3d","contact":{…}}
//
// the CRC-32C, in hexadecimal, of what follows the first comma. A line of a
// kind that this program doesn't know is left alone.
type entry struct {
	Journal   string     `json:"journal,omitempty"` // the first line: what this file is
	Operator  *Operator  `json:"operator,omitempty"`
	Pass      *Pass      `json:"pass,omitempty"`
	Contact   *Contact   `json:"contact,omitempty"`
	Forgotten *forgotten `json:"forgotten,omitempty"`
}

// forgotten says that all lines before it of one operator are void. Who is a
// hash of the ID, so that the journal no longer names the operator.
type forgotten struct {
	Who string    `json:"who"`
	At  time.Time `json:"at"`
}

const journalTitle = "skyslate contacts, one version a line; the sum is a CRC-32C of what follows it"

const (
	sumStart = `{"sum":"`
	sumEnd   = `",`
	sumLen   = len(sumStart) + 8 + len(sumEnd)
)

func who(op OperatorID) string {
	sum := sha256.Sum256([]byte("skyslate operator " + op))
	return hex.EncodeToString(sum[:])
}

// format is the line of an entry, with its line feed.
func (e entry) format() ([]byte, error) {
	body, err := encode(e)
	if err != nil {
		return nil, err
	}
	return append(sumUp(body), '\n'), nil
}

// sumUp puts the checksum into an object.
func sumUp(body []byte) []byte {
	rest := body[1:] // past the brace
	return append(lineSum(rest), rest...)
}

// lineSum is the part of a line that holds the checksum of the rest.
func lineSum(rest []byte) []byte {
	sum := crc32.Checksum(rest, crc32.MakeTable(crc32.Castagnoli))
	return fmt.Appendf(nil, "%s%08x%s", sumStart, sum, sumEnd)
}

var errBadLine = errors.New("the line does not match its checksum")

// parseLine reads a line without its line feed.
func parseLine(line []byte) (e entry, err error) {
	if len(line) < sumLen || !bytes.Equal(line[:sumLen], lineSum(line[sumLen:])) {
		return e, errBadLine
	}
	rest := line[sumLen:]
	if err := json.Unmarshal(append([]byte("{"), rest...), &e); err != nil {
		return e, fmt.Errorf("journal line: %w", err)
	}
	return e, nil
}

// of is the operator that a line is about.
func (e entry) of() OperatorID {
	switch {
	case e.Operator != nil:
		return e.Operator.ID
	case e.Pass != nil:
		return e.Pass.Operator
	case e.Contact != nil:
		return e.Contact.Operator
	}
	return ""
}

// readJournal visits the good lines in order; bad counts the others. Size is
// where the last whole line ends.
func readJournal(r io.Reader, visit func(number int, line []byte, e entry) error) (bad int, size int64, err error) {
	br := bufio.NewReader(r)
	for number := 1; ; number++ {
		line, err := br.ReadBytes('\n')
		if errors.Is(err, io.EOF) {
			if len(line) > 0 {
				bad++ // torn: the write of it never ended
			}
			return bad, size, nil
		}
		if err != nil {
			return bad, size, err
		}
		size += int64(len(line))
		e, err := parseLine(line[:len(line)-1])
		if err != nil {
			bad++
			continue
		}
		if err := visit(number, line, e); err != nil {
			return bad, size, err
		}
	}
}

// readJournalFile is readJournal of a file that may be missing.
func readJournalFile(path string, visit func(number int, line []byte, e entry) error) (bad int, err error) {
	f, err := os.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	defer f.Close()
	bad, _, err = readJournal(f, visit)
	return bad, err
}

// passOf names a pass among all operators.
type passOf struct {
	op OperatorID
	id PassID
}

// journal is the open journal. Its lines follow commits: it never holds what
// the database didn't.
type journal struct {
	mu     sync.Mutex
	f      *os.File
	size   int64 // where the last line ends that is safely there
	behind []entry
	passes map[passOf]bool // the ones it holds
}

func openJournal(path string) (*journal, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	end, err := f.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	j := &journal{f: f, size: end, passes: map[passOf]bool{}}
	if end > 0 {
		return j, nil
	}
	if err := errors.Join(j.append([]entry{{Journal: journalTitle}}), syncDir(filepath.Dir(path))); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return j, nil
}

func (j *journal) close() error { return j.f.Close() }

// append writes entries durably, after those an earlier failure left behind. On
// an error all of them are behind, and the file ends with a whole line.
func (j *journal) append(entries []entry) error {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.behind = append(j.behind, entries...)
	if len(j.behind) == 0 {
		return nil
	}
	var text []byte
	for _, e := range j.behind {
		line, err := e.format()
		if err != nil {
			return err
		}
		text = append(text, line...)
	}
	if err := j.write(text); err != nil {
		return errors.Join(err, j.f.Truncate(j.size))
	}
	j.size += int64(len(text))
	for _, e := range j.behind {
		if e.Pass != nil {
			j.passes[passOf{e.Pass.Operator, e.Pass.ID}] = true
		}
	}
	j.behind = nil
	return nil
}

// lags reports that entries wait for a write that works.
func (j *journal) lags() bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	return len(j.behind) > 0
}

func (j *journal) write(text []byte) error {
	if err := j.f.Truncate(j.size); err != nil {
		return err
	}
	if _, err := j.f.WriteAt(text, j.size); err != nil {
		return err
	}
	return j.f.Sync()
}

// fresh are the entries without the passes that the journal holds already.
func (j *journal) fresh(entries []entry) []entry {
	j.mu.Lock()
	defer j.mu.Unlock()
	var left []entry
	here := map[passOf]bool{}
	for _, e := range entries {
		if e.Pass != nil {
			p := passOf{e.Pass.Operator, e.Pass.ID}
			if j.passes[p] || here[p] {
				continue
			}
			here[p] = true
		}
		left = append(left, e)
	}
	return left
}

// journalise appends what a commit has changed. The commit stands whatever
// happens here.
func (s *Store) journalise(lines []entry) (written bool) {
	first := !s.journal.lags()
	err := s.journal.append(s.journal.fresh(lines))
	if err != nil && first {
		s.notice("the contact journal could not be written (%v): what it lacks is added as soon as that works again", err)
	}
	return err == nil
}

// journalLines are the lines that changes call for: an operator whose settings
// change, and each version of a contact, after its pass.
func (t tx) journalLines(c Changes) ([]entry, error) {
	var lines []entry
	if c.Operator != nil {
		old, known, err := get[Operator](t.in(inOperators), opKey(c.Operator.ID))
		if err != nil {
			return nil, err
		}
		if !known || !same(settings(old), settings(*c.Operator)) {
			lines = append(lines, operatorLine(*c.Operator))
		}
	}
	for _, contact := range c.Contacts {
		p, known, err := t.passFor(contact, c.Passes)
		if err != nil {
			return nil, err
		}
		if known {
			lines = append(lines, entry{Pass: &p})
		}
		lines = append(lines, entry{Contact: &contact})
	}
	return lines, nil
}

// passFor is the pass of a contact, from the changes or the store.
func (t tx) passFor(c Contact, changed []Pass) (Pass, bool, error) {
	for _, p := range changed {
		if p.Operator == c.Operator && p.ID == c.Pass {
			return p, true, nil
		}
	}
	return get[Pass](t.in(inPasses), passKey(c.Operator, c.Pass))
}

// settings are what of an operator is worth a line: not the conversation.
func settings(o Operator) Operator {
	return Operator{
		ID: o.ID, Joined: o.Joined, Call: o.Call, Place: o.Place, Remind: o.Remind,
		Radio: o.Radio, Wanted: o.Wanted,
	}
}

// operatorLine holds the settings and, to tell older ones from newer ones, when
// the operator was last heard of.
func operatorLine(o Operator) entry {
	line := settings(o)
	line.Heard = o.Heard
	return entry{Operator: &line}
}

// same reports whether two values read the same on disk.
func same(a, b any) bool {
	x, errX := encode(a)
	y, errY := encode(b)
	return errX == nil && errY == nil && bytes.Equal(x, y)
}

// syncDir makes a new or renamed file in dir durable. Systems that can't sync
// a directory say so with an error, which is no reason to stop.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	_ = d.Sync()
	return d.Close()
}

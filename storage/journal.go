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
	"slices"
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
	Kept      *keptValue `json:"kept,omitempty"`
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
	return fmt.Appendf(nil, "%s%08x%s", sumStart, crc32.Checksum(rest, castagnoli), sumEnd)
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

// recordName names what a line is about, among all operators: settings, a pass or
// a version of a contact.
type recordName struct {
	op      OperatorID
	pass    PassID
	contact uint64
	version int
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

// readJournal visits the good lines in order; bad counts the others. Lines may end
// as other systems' editors end them, and the last one not at all.
func readJournal(r io.Reader, visit func(number int, line []byte, e entry) error) (bad int, err error) {
	br := bufio.NewReader(r)
	for number := 1; ; number++ {
		line, readErr := br.ReadBytes('\n')
		if readErr != nil && !errors.Is(readErr, io.EOF) {
			return bad, readErr
		}
		if readErr != nil && len(line) == 0 {
			return bad, nil
		}
		line = bytes.TrimRight(line, "\r\n")
		e, err := parseLine(line)
		if err != nil {
			bad++
		} else if err := visit(number, append(line, '\n'), e); err != nil {
			return bad, err
		}
		if readErr != nil {
			return bad, nil
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
	return readJournal(f, visit)
}

// journal is the open journal. Its lines follow commits: it never holds what
// the database didn't.
type journal struct {
	mu     sync.Mutex
	f      *os.File
	size   int64 // where the last line ends that is safely there
	behind []entry
	passes map[recordName]bool // those it holds, and those that are behind
}

func openJournal(path string, passes map[recordName]bool) (*journal, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	j := &journal{f: f, passes: passes}
	end := make([]byte, 1)
	if j.size, err = f.Seek(0, io.SeekEnd); err == nil && j.size == 0 {
		_, err = j.append([]entry{{Journal: journalTitle}})
		err = errors.Join(err, syncDir(filepath.Dir(path)))
	} else if _, err = f.ReadAt(end, j.size-1); err == nil && end[0] != '\n' {
		_, err = f.WriteAt([]byte("\n"), j.size)
		j.size++
	}
	err = errors.Join(err, f.Chmod(0o600)) // whoever saved it may have had other habits
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return j, nil
}

// append writes entries durably, after those an earlier failure left behind and
// without the passes that are there already. On an error all of them are behind,
// and the file ends with a whole line.
func (j *journal) append(entries []entry) (written int, err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	for _, e := range entries {
		if e.Pass != nil && j.passes[e.name()] {
			continue
		}
		if e.Pass != nil {
			j.passes[e.name()] = true
		}
		j.behind = append(j.behind, e)
	}
	if len(j.behind) == 0 {
		return 0, nil
	}
	var text []byte
	for _, e := range j.behind {
		line, err := e.format()
		if err != nil {
			return 0, err
		}
		text = append(text, line...)
	}
	if err = j.f.Truncate(j.size); err == nil {
		_, err = j.f.WriteAt(text, j.size)
	}
	if err = errors.Join(err, j.f.Sync()); err != nil {
		return 0, errors.Join(err, j.f.Truncate(j.size))
	}
	j.size += int64(len(text))
	written, j.behind = len(j.behind), nil
	return written, nil
}

// lags reports that entries wait for a write that works.
func (j *journal) lags() bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	return len(j.behind) > 0
}

// journalise appends what a commit has changed. The commit stands whatever
// happens here.
func (s *Store) journalise(lines []entry) (written int) {
	lagged := s.journal.lags()
	written, err := s.journal.append(lines)
	if err != nil && !lagged {
		s.notice("the contact journal could not be written (%v): "+
			"what it lacks is added as soon as that works again", err)
	}
	return written
}

// journalLines are the lines that changes call for: an operator whose settings
// change, and each version of a contact, after its pass.
func (t *tx) journalLines(c Changes) (lines []entry) {
	if c.Operator != nil {
		old, known := get[Operator](t.in(inOperators), opKey(c.Operator.ID))
		if !known || !same(settings(old), settings(*c.Operator)) {
			lines = append(lines, operatorLine(*c.Operator))
		}
	}
	for _, contact := range c.Contacts {
		at := slices.IndexFunc(c.Passes, func(p Pass) bool {
			return p.Operator == contact.Operator && p.ID == contact.Pass
		})
		if at >= 0 {
			lines = append(lines, entry{Pass: &c.Passes[at]})
		} else if p, known := get[Pass](t.in(inPasses), passKey(contact.Operator, contact.Pass)); known {
			lines = append(lines, entry{Pass: &p})
		}
		lines = append(lines, entry{Contact: &contact})
	}
	return lines
}

// settings are what of an operator is worth a line: not the conversation.
func settings(o Operator) Operator {
	s := Operator{Given: o.Given}
	s.takeSettings(o)
	return s
}

// takeSettings takes over another's settings. Numbers of contacts that were given are
// none: they are never taken back.
func (o *Operator) takeSettings(from Operator) {
	o.ID, o.Joined, o.Call, o.Place, o.Home = from.ID, from.Joined, from.Call, from.Place, from.Home
	o.Remind, o.Radio, o.Wanted = from.Remind, from.Radio, from.Wanted
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

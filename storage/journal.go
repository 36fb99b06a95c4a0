package storage

import (
	"bufio"
	"bytes"
	"cmp"
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
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"skyslate/storage/disk"
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
	writing sync.Mutex // held over a write, which the disk may make long

	mu     sync.Mutex
	path   string
	f      *os.File
	safe   extent      // what is in the file for good
	behind []byte      // lines of commits that stand, which are to follow
	lags   bool        // because the last write failed
	void   atomic.Bool // it has lines of who was forgotten

	// passes are those that were written since it was opened: one a line is enough,
	// and a second does no harm.
	passes map[recordName]bool
}

// extent is a journal up to an end of a line.
type extent struct {
	Size int64  `json:"size"`
	Sum  uint32 `json:"sum"` // CRC-32C
}

func (x extent) with(text []byte) extent {
	return extent{x.Size + int64(len(text)), crc32.Update(x.Sum, castagnoli, text)}
}

// journalled is what the database knows of the journal, so that an opening needs not
// compare all they hold: how far it was safely written before a commit, and what was
// to follow.
type journalled struct {
	Safe   extent `json:"safe"`
	Behind string `json:"behind,omitempty"`
}

const (
	journalledKey = "journal"
	// mostBehind is up to which length that is kept: beyond it an opening compares all.
	mostBehind = 32 << 10
)

// openJournal opens the journal, which is made if it is missing, at its end.
func openJournal(path string) (*journal, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	j := &journal{path: path, f: f, passes: map[recordName]bool{}}
	if j.safe, err = measure(f); err == nil && j.safe.Size == 0 {
		j.behind, err = entry{Journal: journalTitle}.format()
		err = errors.Join(err, j.write(), disk.SyncDir(filepath.Dir(path)))
	}
	end := []byte{'\n'}
	if err == nil {
		_, err = f.ReadAt(end, j.safe.Size-1)
	}
	if err == nil && end[0] != '\n' {
		j.behind = []byte{'\n'}
		err = j.write()
	}
	err = errors.Join(err, f.Chmod(0o600)) // whoever saved it may have had other habits
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return j, nil
}

// measure is the extent of a whole file.
func measure(f *os.File) (extent, error) {
	sum := crc32.New(castagnoli)
	size, err := io.Copy(sum, f)
	return extent{size, sum.Sum32()}, err
}

// after are the lines of entries, and what the journal is once they are in it.
func (j *journal) after(entries []entry) (text []byte, then journalled, err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	passes := map[recordName]bool{}
	for _, e := range entries {
		if n := e.name(); e.Pass != nil {
			if passes[n] || j.passes[n] {
				continue
			}
			passes[n] = true
		}
		line, err := e.format()
		if err != nil {
			return nil, then, err
		}
		text = append(text, line...)
	}
	if then = (journalled{j.safe, string(j.behind) + string(text)}); len(then.Behind) > mostBehind {
		then = journalled{j.safe.with([]byte(then.Behind)), ""}
	}
	return text, then, nil
}

// add makes the lines of a commit follow.
func (j *journal) add(text []byte, entries []entry) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.behind = append(j.behind, text...)
	for _, e := range entries {
		if e.Pass != nil {
			j.passes[e.name()] = true
		}
	}
}

// write writes durably what is to follow. On an error that stays so, and the file ends
// with a whole line.
func (j *journal) write() error {
	j.writing.Lock()
	defer j.writing.Unlock()
	j.mu.Lock()
	f, safe, text := j.f, j.safe, bytes.Clone(j.behind)
	j.mu.Unlock()
	if len(text) == 0 {
		return nil
	}
	err := f.Truncate(safe.Size)
	if err == nil {
		_, err = f.WriteAt(text, safe.Size)
	}
	if err = errors.Join(err, f.Sync()); err != nil {
		return errors.Join(err, f.Truncate(safe.Size))
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	j.safe, j.behind = safe.with(text), bytes.Clone(j.behind[len(text):])
	return nil
}

// journalise writes what commits have changed. They stand whatever happens here.
func (s *Store) journalise() {
	if s.journal == nil {
		return
	}
	err := s.journal.write()
	s.journal.mu.Lock()
	lagged := s.journal.lags
	s.journal.lags = err != nil
	s.journal.mu.Unlock()
	if err != nil && !lagged {
		s.notice("the contact journal could not be written (%v): "+
			"what it lacks is added as soon as that works again", err)
	}
}

// resumeJournal opens the journal if it is as the database knows it, or lacks of the
// end what the database still knows: nil if not.
func resumeJournal(path string, known journalled) *journal {
	f, err := os.OpenFile(path, os.O_RDWR, 0o600)
	if err != nil {
		return nil
	}
	sum := crc32.New(castagnoli)
	_, err = io.CopyN(sum, f, known.Safe.Size)
	there, errRest := io.ReadAll(io.LimitReader(f, mostBehind+1))
	lacks, follows := strings.CutPrefix(known.Behind, string(there))
	follows = follows && (len(there) == 0 || bytes.HasSuffix(there, []byte("\n"))) // a torn line is told
	if err != nil || errRest != nil || !follows || sum.Sum32() != known.Safe.Sum || f.Chmod(0o600) != nil {
		_ = f.Close() // it is read anew, and compared with all the database holds
		return nil
	}
	return &journal{path: path, f: f, safe: known.Safe.with(there), behind: []byte(lacks), passes: map[recordName]bool{}}
}

// noteJournal makes the database know what the journal is after the transaction, and
// returns the lines that it brings.
func (t *tx) noteJournal(j *journal) (text []byte) {
	if j == nil || t.err != nil {
		return nil
	}
	text, then, err := j.after(t.lines)
	t.fail(err)
	meta := t.in(inMeta)
	if known, _ := get[journalled](meta, []byte(journalledKey)); known != then {
		meta.put([]byte(journalledKey), then)
	}
	return text
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

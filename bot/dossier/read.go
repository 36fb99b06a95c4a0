package dossier

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"skyslate/bot/sky"
	"skyslate/storage"
)

// longestLine is more than any line of a document holds.
const longestLine = 4 << 20

// Dossier is an operator whole, as a document has it.
type Dossier struct {
	settings *settings
	sky      sky.Own
	passes   []storage.Pass
	contacts []storage.Contact
	handed   []storage.ContactRef
	versions map[uint64]int // how many each contact has
}

// Begins reports whether a text begins as a document does.
func Begins(text []byte) bool { return bytes.HasPrefix(text, []byte(`{"skyslate":`)) }

// Read reads a document whole. An error names the line, and nothing is to be made of the
// rest then.
func Read(r io.Reader) (*Dossier, error) {
	d := &Dossier{versions: map[uint64]int{}}
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, longestLine)
	n, ended := 0, false
	for lines.Scan() {
		l, err := readLine(lines.Bytes())
		switch {
		case err != nil:
		case ended:
			err = errors.New("found more behind the document's last line")
		case n == 0:
			err = l.begins()
		case l.Lines > 0 && l.Lines != n:
			err = fmt.Errorf("found %d lines before, expected %d", n, l.Lines)
		case l.Lines > 0:
			ended = true
		default:
			err = d.take(l)
		}
		n++
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
	}
	switch {
	case lines.Err() != nil:
		return nil, fmt.Errorf("line %d: %w", n+1, lines.Err())
	case !ended:
		return nil, fmt.Errorf("line %d: found the end, expected the document's last line: it was cut short", n+1)
	case d.settings == nil:
		return nil, errors.New("the settings are missing")
	}
	return d, nil
}

func readLine(text []byte) (l line, err error) {
	in := json.NewDecoder(bytes.NewReader(text))
	in.DisallowUnknownFields()
	err = in.Decode(&l)
	if name, unknown := strings.CutPrefix(fmt.Sprint(err), "json: unknown field "); unknown {
		return l, fmt.Errorf("found the field %s, which is not known: it was written by a newer skyslate", name)
	}
	if err == nil && in.More() {
		err = errors.New("found more behind the value")
	}
	return l, err
}

// begins says what is wrong with the first line.
func (l line) begins() error {
	switch {
	case l.Skyslate != kind:
		return fmt.Errorf("found %q, expected the document of an operator", l.Skyslate)
	case l.Form != form:
		return fmt.Errorf("found form %d, expected %d: it was written by a newer skyslate", l.Form, form)
	}
	return nil
}

// take takes one line of those between the first and the last.
func (d *Dossier) take(l line) error {
	switch {
	case l.Settings != nil && d.settings == nil:
		d.settings = l.Settings
	case l.Sky != nil:
		d.sky = *l.Sky
	case l.Pass != nil:
		d.passes = append(d.passes, *l.Pass)
	case l.Contact != nil:
		c := *bare(*l.Contact)
		if c.ID == 0 || c.Version != d.versions[c.ID]+1 {
			return fmt.Errorf("found version %d of contact %d, expected %d", c.Version, c.ID, d.versions[c.ID]+1)
		}
		d.versions[c.ID]++
		d.contacts = append(d.contacts, c)
	case l.Handed != nil:
		if h := *l.Handed; h.Version < 1 || h.Version > d.versions[h.ID] {
			return fmt.Errorf("found version %d of contact %d, which is not above", h.Version, h.ID)
		}
		d.handed = append(d.handed, *l.Handed)
	default:
		return errors.New("found nothing that is expected there")
	}
	return nil
}

// Count is how many contacts and passes there are.
func (d *Dossier) Count() (contacts, passes int) { return len(d.versions), len(d.passes) }

// ErrLog is an operator who has a log already.
var ErrLog = errors.New("the operator has a log already, and a document of one goes only where there is none: export the log alone (ADIF) and import that")

// Changes is what makes an operator the one of the document: somebody who is not known
// yet, or has no log. One event writes it all, or nothing.
func (d *Dossier) Changes(v *storage.View, id storage.OperatorID, now time.Time) (ch storage.Changes, err error) {
	op, known, err := v.Operator(id)
	if err != nil {
		return ch, err
	}
	if known && v.NextContact(id) > 1 {
		return ch, ErrLog
	}
	if op.ID = id; !known {
		op.Heard, op.Silent = now, now
	}
	d.settings.give(&op)
	key, own, err := d.sky.Keep(id)
	if err != nil {
		return ch, err
	}
	ch = storage.Changes{
		Operator: &op, Passes: d.passes, Contacts: d.contacts, Handed: d.handed, Keep: map[string][]byte{key: own},
	}
	for i := range ch.Passes {
		ch.Passes[i].Operator = id
	}
	for i := range ch.Contacts {
		ch.Contacts[i].Operator = id
	}
	return ch, nil
}

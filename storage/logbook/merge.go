package logbook

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"

	"skyslate/parse"
	"skyslate/parse/adif"
	"skyslate/storage"
)

// sameWithin is how far apart two logs may say that they made one contact: a
// pass of a low orbit is over by then. Matching tolerates as much and more
// (common practice, no source).
const sameWithin = 15 * time.Minute

// MaxFaults is how many faults a Progress describes; the others are counted.
const MaxFaults = 20

// mostOfCall bounds the contacts with one station that come from files: all of
// them are looked through whenever that station is worked.
const mostOfCall = 3000

// Progress is how far an import is.
type Progress struct {
	At      adif.Position `json:"at"`      // read up to here
	Records int           `json:"records"` // that could be read
	Fresh   int           `json:"fresh"`   // of them, those that were not known
	Strange int           `json:"strange"` // of those, the ones without the own call
	Broken  int           `json:"broken"`
	Faults  []string      `json:"faults,omitempty"` // the first MaxFaults: where, and what
	Done    bool          `json:"done,omitempty"`
}

func (p *Progress) fault(line, column int, what string) {
	p.Broken++
	if len(p.Faults) < MaxFaults {
		p.Faults = append(p.Faults, fmt.Sprintf("%d:%d: %s", line, column, what))
	}
}

// An Importer takes the records of a file into an operator's log, or only into
// the memory of what was worked.
type Importer struct {
	Operator storage.Operator
	// IntoLog: contacts come out as they belong in the log; one that is only
	// remembered comes out again, to be put there. Else they come out as
	// remembered.
	IntoLog bool
}

// Take reads up to n records and returns the contacts that the view doesn't have,
// without identity (or, if they are remembered and go into the log, as their next
// version is to be but for its number). Broken records count and are passed over. An error
// is one of the reader's source or of the view.
func (im Importer) Take(v *storage.View, r *adif.Reader, n int, p *Progress) ([]storage.Contact, error) {
	all := map[parse.Callsign][]storage.Contact{} // known, or taken here
	var out []storage.Contact
	for range n {
		rec, err := r.Read()
		p.At = r.Position()
		var broken *adif.ParseError
		switch {
		case errors.Is(err, io.EOF):
			p.Done = true
			return out, nil
		case errors.As(err, &broken):
			p.fault(broken.Line, broken.Column, fmt.Sprintf("found %s, expected %s", broken.Found, broken.Expected))
			continue
		case err != nil:
			return out, err
		}
		c, own, err := im.contact(rec)
		if err != nil {
			p.fault(p.At.Line, p.At.Column, fmt.Sprintf("the record that ends here: %v", err))
			continue
		}
		p.Records++
		known, read := all[c.Call]
		if !read {
			if known, err = v.ContactsOfCall(im.Operator.ID, c.Call); err != nil {
				return out, err
			}
			all[c.Call] = known
		}
		c, fresh := im.against(known, c)
		if !fresh {
			continue
		}
		if len(known) >= mostOfCall {
			p.fault(p.At.Line, p.At.Column, fmt.Sprintf("more than %d contacts with %s", mostOfCall, c.Call))
			continue
		}
		p.Fresh++
		if !own {
			p.Strange++
		}
		all[c.Call] = append(known, c)
		out = append(out, c)
	}
	return out, nil
}

// contact makes a contact of a record; own says that the record tells the own
// call. One that could not be written again is refused, so that it can't stand
// in the way of a hand-over later.
func (im Importer) contact(rec adif.Record) (c storage.Contact, own bool, err error) {
	if c, err = Contact(rec); err != nil {
		return c, false, err
	}
	own = c.OwnCall.IsValid() || setCall(&c.OwnCall, c.Fields["OPERATOR"])
	if !own {
		c.OwnCall = im.Operator.Call
	}
	if _, err = Record(c); err != nil {
		return c, own, err
	}
	if !im.IntoLog {
		c.State = storage.Remembered
	}
	return c, own, nil
}

// against holds a contact against those with the same station: what comes of it,
// and whether that is anything new. Of a contact that lacks its grid the record
// is worth remembering, and only that.
func (im Importer) against(known []storage.Contact, c storage.Contact) (storage.Contact, bool) {
	for _, old := range known {
		if !Same(old, c) {
			continue
		}
		switch {
		case im.IntoLog && old.State == storage.Remembered && old.ID != 0:
			state := c.State
			c = old
			c.State = state
			return c, true
		case im.IntoLog || len(old.Grids) > 0 || len(c.Grids) == 0 || old.State == storage.Remembered:
			return c, false
		}
	}
	return c, true
}

// Same reports whether two contacts are the same one as two logs may tell it:
// the same stations on the same bird or band at about the same time. What is
// withdrawn or was only heard is none.
func Same(a, b storage.Contact) bool {
	return a.Call == b.Call && alive(a) && alive(b) &&
		a.Time.Sub(b.Time).Abs() <= sameWithin &&
		agree(a.OwnCall.String(), b.OwnCall.String()) &&
		agree(bare(satellite(a)), bare(satellite(b))) &&
		agree(band(a), band(b))
}

func alive(c storage.Contact) bool {
	return c.State != storage.Dropped && c.State != storage.Heard
}

// agree reports whether two values can be the same: they are, or one is missing.
func agree(a, b string) bool { return a == "" || b == "" || a == b }

// bare is a name without what is spelled in different ways.
func bare(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToUpper(r)
		}
		return -1
	}, name)
}

func band(c storage.Contact) string {
	if b := adif.BandOf(c.UplinkMHz); b != "" {
		return strings.ToUpper(b)
	}
	return strings.ToUpper(c.Fields["BAND"])
}

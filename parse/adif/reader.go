package adif

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Bounds on what one record may make the Reader remember.
const (
	maxName      = 128     // bytes of a field name
	maxSpecifier = 256     // bytes from "<" to ">"
	maxValue     = 1 << 16 // bytes of a value
	maxRecord    = 1 << 20 // bytes of all names and values of a record
	maxFields    = 1000    // of a record: several times what the standard defines
)

// A Reader reads the records of an ADI file. It holds one record and a buffer,
// whatever the size of the file.
type Reader struct {
	in    *bufio.Reader
	pos   Position
	begun bool
}

// NewReader returns a Reader that reads from r.
func NewReader(r io.Reader) *Reader {
	// The buffer takes the longest value whole, so that a length that promises
	// more than the file holds is noticed before anything is consumed.
	return &Reader{
		in:  bufio.NewReaderSize(r, 2*maxValue),
		pos: Position{Line: 1, Column: 1},
	}
}

// NewReaderAt returns a Reader that goes on where another one of the same input
// stood after a Read: r gives what is behind that position.
func NewReaderAt(r io.Reader, at Position) *Reader {
	in := NewReader(r)
	if at.Offset > 0 {
		in.pos, in.begun = at, true
	}
	return in
}

// Read returns the next record, with at least one field. At the end of the input
// it returns io.EOF. A *ParseError tells of a broken record; the next call goes
// on behind that record's <EOR>. Any other error is one of the underlying reader.
// Values are the bytes as they stand; headers are passed over.
func (r *Reader) Read() (Record, error) {
	first, text := !r.begun, false
	if first {
		r.begun = true
		if mark, _ := r.in.Peek(3); string(mark) == "\xef\xbb\xbf" {
			r.advance(mark)
		}
		// A file that begins with "<" has no header by the standard, so what is
		// wrong there is wrong with a record. In a header's text a stray "<" is
		// nothing to complain about.
		c, _ := r.in.Peek(1)
		text = len(c) == 1 && c[0] != '<'
	}
	for ; ; first, text = false, false {
		u := r.unit(text)
		switch {
		case u.mark == "EOH" && (first || onlyHeaderFields(u.fields)): // of a file joined to the first, too
		case u.err != nil:
			return nil, u.err
		case u.mark == "EOH":
			return nil, &ParseError{u.end, "<EOH> behind the fields of a record", "<EOR>"}
		case u.mark == "" && len(u.fields) > 0:
			return nil, &ParseError{u.end, "the end of the file", "<EOR>"}
		case u.mark == "":
			return nil, io.EOF
		case len(u.fields) > 0:
			return u.fields, nil
		}
	}
}

// Position returns the place in the input up to which records were read.
func (r *Reader) Position() Position { return r.pos }

func onlyHeaderFields(rec Record) bool {
	standard := []string{"ADIF_VER", "CREATED_TIMESTAMP", "PROGRAMID", "PROGRAMVERSION"}
	return !slices.ContainsFunc(rec, func(f Field) bool {
		return !slices.Contains(standard, f.Name) &&
			!strings.HasPrefix(f.Name, "USERDEF") && !strings.HasPrefix(f.Name, "APP_")
	})
}

// A unit is what stands up to an end mark, with the first thing wrong in it.
type unit struct {
	fields Record
	size   int    // bytes of names and values
	text   bool   // in a header's text: an error is none if <EOH> follows
	mark   string // "EOR" or "EOH"; "" at the end of the input
	end    Position
	err    error
}

// unit reads on to the next end mark. What is wrong on the way is remembered, and
// reading goes on, so that the mark is not looked for inside a value. With text
// set, a header's free text is expected.
func (r *Reader) unit(text bool) *unit {
	u := &unit{text: text}
	for {
		if err := r.seek(); err != nil {
			u.end = r.pos
			if !errors.Is(err, io.EOF) {
				u.err = err
			}
			return u
		}
		at := r.pos
		spec, err := r.specifier()
		if err == nil {
			if isMark(spec.name) {
				u.mark, u.end = spec.name, at
				return u
			}
			var f Field
			if f, err = r.field(spec, at); err == nil {
				err = u.add(f, at)
			}
		}
		if u.err == nil {
			u.err = err
		}
		if _, broken := errors.AsType[*ParseError](err); err != nil && !broken {
			return u // the source is at its end, not only the record
		}
	}
}

func isMark(name string) bool { return name == "EOR" || name == "EOH" }

// add appends f, unless the record has it already or gets too large.
func (u *unit) add(f Field, at Position) error {
	u.size += len(f.Name) + len(f.Value)
	if u.size > maxRecord {
		u.fields = nil
		return &ParseError{at, "a record of more than 1 MiB", "<EOR> before that"}
	}
	if u.err != nil && !u.text {
		return nil // lost already: only its end matters
	}
	if len(u.fields) >= maxFields {
		return &ParseError{at, fmt.Sprintf("a record of more than %d fields", maxFields), "<EOR> before that"}
	}
	if old, ok := u.fields.Get(f.Name); ok {
		if old == f.Value {
			return nil
		}
		return &ParseError{at, "a second " + f.Name + " with another value", "each field once"}
	}
	u.fields = append(u.fields, f)
	return nil
}

// seek moves to the next "<".
func (r *Reader) seek() error {
	for {
		if _, err := r.in.Peek(1); err != nil {
			return err
		}
		buffered, _ := r.in.Peek(r.in.Buffered())
		before, _, found := bytes.Cut(buffered, []byte{'<'})
		r.advance(before)
		if found {
			return nil
		}
	}
}

// advance consumes p, which was peeked.
func (r *Reader) advance(p []byte) {
	size := len(p)
	r.pos.Offset += int64(size)
	if n := bytes.Count(p, []byte{'\n'}); n > 0 {
		r.pos.Line += n
		r.pos.Column = 1
		p = p[bytes.LastIndexByte(p, '\n')+1:]
	}
	r.pos.Column += len(p)
	_, _ = r.in.Discard(size) // can't fail: it was peeked
}

// A specifier is what stands between "<" and ">".
type specifier struct {
	name   string
	length int
	typ    byte
}

// specifier reads from "<" to ">".
func (r *Reader) specifier() (specifier, error) {
	at := r.pos
	p, err := r.in.Peek(maxSpecifier)
	if err != nil && !errors.Is(err, io.EOF) {
		return specifier{}, err
	}
	n := bytes.IndexAny(p[1:], "<>")
	if n < 0 || p[1+n] == '<' {
		r.advance(p[:1])
		return specifier{}, &ParseError{at, "a < without its >", "<NAME:LENGTH>"}
	}
	text := string(p[1 : 1+n])
	r.advance(p[:n+2])
	spec, ok := parseSpecifier(text)
	if !ok {
		return specifier{}, &ParseError{at, strconv.QuoteToASCII("<" + text + ">"), "<NAME:LENGTH>"}
	}
	return spec, nil
}

func parseSpecifier(text string) (spec specifier, ok bool) {
	name, rest, sized := strings.Cut(text, ":")
	spec.name = strings.ToUpper(strings.TrimSpace(name))
	if !sized {
		return spec, isMark(spec.name)
	}
	digits, typ, typed := strings.Cut(rest, ":")
	if typ = strings.TrimSpace(typ); typed {
		if len(typ) != 1 || !isLetter(typ[0]) {
			return spec, false
		}
		spec.typ = typ[0] &^ 0x20
	}
	n, err := strconv.ParseUint(strings.TrimSpace(digits), 10, 31)
	spec.length = int(n) // the greatest there is if it is out of range
	return spec, (err == nil || errors.Is(err, strconv.ErrRange)) && validName(spec.name)
}

// field reads the value that a specifier announces. If it can't be had, nothing
// of it is consumed.
func (r *Reader) field(spec specifier, at Position) (Field, error) {
	if spec.length > maxValue {
		return Field{}, &ParseError{at, fmt.Sprintf("a length of more than %d", maxValue), "a value's length"}
	}
	p, err := r.in.Peek(spec.length)
	if errors.Is(err, io.EOF) {
		found := fmt.Sprintf("only %d bytes up to the end of the file", len(p))
		return Field{}, &ParseError{at, found, fmt.Sprintf("%d bytes of %s", spec.length, spec.name)}
	}
	if err != nil {
		return Field{}, err
	}
	n := r.valueLen(spec.length)
	p, _ = r.in.Peek(n)
	f := Field{Name: spec.name, Type: spec.typ, Value: string(p)}
	r.advance(p)
	if next, _ := r.in.Peek(1); len(next) == 1 && isWordByte(next[0]) {
		found := fmt.Sprintf("%s going on behind its %d bytes", spec.name, spec.length)
		return Field{}, &ParseError{at, found, "a length that fits the value"}
	}
	return f, nil
}

// valueLen returns how many bytes a value of the given length takes: length, or
// more if only that makes sense as a count of UTF-8 characters.
func (r *Reader) valueLen(length int) int {
	if p, _ := r.in.Peek(length + 1); len(p) <= length || !isWordByte(p[length]) {
		return length
	}
	p, _ := r.in.Peek(min(length*utf8.UTFMax, maxValue) + 1)
	n := 0
	for range length {
		c, size := utf8.DecodeRune(p[n:])
		if c == utf8.RuneError && size <= 1 {
			return length
		}
		n += size
	}
	if n < len(p) && isWordByte(p[n]) {
		return length
	}
	return n
}

// isWordByte reports whether c belongs to a word: such a byte can't directly
// follow a value whose length is right.
func isWordByte(c byte) bool { return isLetter(c) || c >= '0' && c <= '9' || c >= utf8.RuneSelf }

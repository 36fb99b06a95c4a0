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
	in     *bufio.Reader
	pos    Position
	begun  bool
	header Record

	// The first record has to be read to know that there is no header.
	first    Record
	firstErr error
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

// Header returns the fields of the header, reading up to the first record if
// need be; nil if there is no header. An error is one of the underlying reader.
func (r *Reader) Header() (Record, error) {
	r.begin()
	var broken *ParseError
	if r.firstErr == nil || errors.Is(r.firstErr, io.EOF) || errors.As(r.firstErr, &broken) {
		return r.header, nil
	}
	return r.header, r.firstErr
}

// Read returns the next record, with at least one field. At the end of the input
// it returns io.EOF. A *ParseError tells of a broken record; the next call goes
// on behind that record's <EOR>. Any other error is one of the underlying reader.
// Values are the bytes as they stand.
func (r *Reader) Read() (Record, error) {
	r.begin()
	if r.first != nil || r.firstErr != nil {
		rec, err := r.first, r.firstErr
		r.first, r.firstErr = nil, nil
		return rec, err
	}
	return r.record()
}

// Position returns the place in the input up to which records were read.
func (r *Reader) Position() Position { return r.pos }

func (r *Reader) begin() {
	if r.begun {
		return
	}
	r.begun = true
	if mark, _ := r.in.Peek(3); string(mark) == "\xef\xbb\xbf" {
		r.advance(mark)
	}
	// A file that begins with "<" has no header by the standard, so what is
	// wrong there is wrong with a record. In a header's text a stray "<" is
	// nothing to complain about.
	c, _ := r.in.Peek(1)
	u := r.unit(len(c) == 1 && c[0] != '<')
	if u.end == endHeader {
		r.header = u.fields
		return
	}
	r.first, r.firstErr = u.result()
	if r.first == nil && r.firstErr == nil {
		r.first, r.firstErr = r.record()
	}
}

// record reads on to the next record, past empty ones and past the headers of
// files that were joined to the first.
func (r *Reader) record() (Record, error) {
	for {
		u := r.unit(false)
		if u.end == endHeader && onlyHeaderFields(u.fields) {
			continue
		}
		if u.end == endHeader && u.err == nil {
			u.err = &ParseError{u.endAt, "<EOH> behind the fields of a record", "<EOR>"}
		}
		if rec, err := u.result(); rec != nil || err != nil {
			return rec, err
		}
	}
}

func onlyHeaderFields(rec Record) bool {
	return !slices.ContainsFunc(rec, func(f Field) bool {
		switch f.Name {
		case "ADIF_VER", "CREATED_TIMESTAMP", "PROGRAMID", "PROGRAMVERSION":
			return false
		}
		return !strings.HasPrefix(f.Name, "USERDEF") && !strings.HasPrefix(f.Name, "APP_")
	})
}

type end int

const (
	endInput end = iota
	endRecord
	endHeader
)

// A unit is what stands up to an end mark, with the first thing wrong in it.
type unit struct {
	fields Record
	size   int  // bytes of names and values
	text   bool // in a header's text: an error is none if <EOH> follows
	end    end
	endAt  Position
	err    error
}

func (u *unit) result() (Record, error) {
	switch {
	case u.err != nil:
		return nil, u.err
	case u.end == endInput && len(u.fields) > 0:
		return nil, &ParseError{u.endAt, "the end of the file", "<EOR>"}
	case u.end == endInput:
		return nil, io.EOF
	case len(u.fields) == 0:
		return nil, nil
	}
	return u.fields, nil
}

// unit reads on to the next end mark. What is wrong on the way is remembered, and
// reading goes on, so that the mark is not looked for inside a value. With text
// set, a header's free text is expected.
func (r *Reader) unit(text bool) unit {
	u := unit{text: text}
	for {
		if err := r.seek(); err != nil {
			u.end, u.endAt = endInput, r.pos
			if !errors.Is(err, io.EOF) {
				u.err = err
			}
			return u
		}
		at := r.pos
		spec, err := r.specifier()
		if end := endMark(spec.name); err == nil && end != endInput {
			u.end, u.endAt = end, at
			return u
		}
		var f Field
		if err == nil {
			f, err = r.field(spec, at)
		}
		if err == nil {
			err = u.add(f, at)
		}
		if !u.note(err) {
			return u
		}
	}
}

// note remembers the first thing that is wrong and reports whether reading can
// go on.
func (u *unit) note(err error) bool {
	if u.err == nil {
		u.err = err
	}
	var broken *ParseError
	return err == nil || errors.As(err, &broken)
}

func endMark(name string) end {
	switch name {
	case "EOR":
		return endRecord
	case "EOH":
		return endHeader
	}
	return endInput
}

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
		buffered, err := r.peekSome()
		if len(buffered) == 0 {
			return err
		}
		before, _, ok := bytes.Cut(buffered, []byte{'<'})
		if ok {
			r.advance(before)
			return nil
		}
		r.advance(buffered)
	}
}

// peekSome returns what is buffered, at least a byte unless there is an error.
func (r *Reader) peekSome() ([]byte, error) {
	if _, err := r.in.Peek(1); err != nil {
		return nil, err
	}
	return r.in.Peek(r.in.Buffered())
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
		return spec, endMark(spec.name) != endInput
	}
	digits, typ, typed := strings.Cut(rest, ":")
	if typ = strings.TrimSpace(typ); typed {
		if len(typ) != 1 || !isLetter(typ[0]) {
			return spec, false
		}
		spec.typ = typ[0] &^ 0x20
	}
	spec.length, ok = parseLength(strings.TrimSpace(digits))
	return spec, ok && validName(spec.name)
}

// parseLength reads a decimal number. What is too large for any value stays too
// large and does not overflow.
func parseLength(s string) (int, bool) {
	n := 0
	for i := range len(s) {
		if !isDigit(s[i]) {
			return 0, false
		}
		n = min(10*n+int(s[i]-'0'), 10*maxValue)
	}
	return n, s != ""
}

// field reads the value that a specifier announces. If it can't be had, nothing
// of it is consumed.
func (r *Reader) field(spec specifier, at Position) (Field, error) {
	if spec.length > maxValue {
		return Field{}, &ParseError{at, fmt.Sprintf("a length of more than %d", maxValue), "a value's length"}
	}
	p, err := r.in.Peek(spec.length)
	if errors.Is(err, io.EOF) {
		return Field{}, &ParseError{
			at,
			fmt.Sprintf("only %d bytes up to the end of the file", len(p)),
			fmt.Sprintf("%d bytes of %s", spec.length, spec.name),
		}
	}
	if err != nil {
		return Field{}, err
	}
	n := r.valueLen(spec.length)
	p, _ = r.in.Peek(n)
	f := Field{Name: spec.name, Type: spec.typ, Value: string(p)}
	r.advance(p)
	if next, _ := r.in.Peek(1); len(next) == 1 && isWordByte(next[0]) {
		return Field{}, &ParseError{
			at,
			fmt.Sprintf("%s going on behind its %d bytes", spec.name, spec.length),
			"a length that fits the value",
		}
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
func isWordByte(c byte) bool { return isLetter(c) || isDigit(c) || c >= utf8.RuneSelf }

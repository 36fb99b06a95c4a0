package adif

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// ErrName and ErrEmpty are what a Writer refuses, wrapped with the particulars.
var (
	ErrName  = errors.New("not a field of an ADI file")
	ErrEmpty = errors.New("a record without fields")
)

// A Writer writes an ADI file: WriteHeader once, if at all, then Write for each
// record, then Flush. Values are brought to ASCII on the way; lines end in CR LF.
type Writer struct {
	out  *bufio.Writer
	line []byte
	used bool
}

// NewWriter returns a Writer that writes to w.
func NewWriter(w io.Writer) *Writer { return &Writer{out: bufio.NewWriter(w)} }

// WriteHeader writes the header: a line of text, which must not be blank or begin
// with "<" (that would say that there is no header), and fields.
func (w *Writer) WriteHeader(text string, fields Record) error {
	text = strings.TrimSpace(ASCII(text))
	if w.used {
		return errors.New("the header comes first")
	}
	if text == "" || strings.Contains(text, "<") {
		return fmt.Errorf("the header begins with a text without <, not with %q", text)
	}
	return w.unit(text+"\r\n", fields, "\r\n", "<EOH>\r\n\r\n")
}

// Write writes a record, on one line unless a value has several. It writes
// nothing and returns an error wrapping ErrName or ErrEmpty if the record can't
// stand in an ADI file; otherwise an error is one of the underlying writer.
func (w *Writer) Write(rec Record) error {
	if len(rec) == 0 {
		return ErrEmpty
	}
	return w.unit("", rec, " ", "<EOR>\r\n")
}

// Flush writes what is buffered to the underlying writer.
func (w *Writer) Flush() error { return w.out.Flush() }

func (w *Writer) unit(text string, fields Record, separator, mark string) error {
	seen := make(map[string]bool, len(fields))
	w.line = append(w.line[:0], text...)
	for _, f := range fields {
		name := strings.ToUpper(f.Name)
		err := CheckName(name)
		switch {
		case err != nil:
			return err
		case f.Type != 0 && !isLetter(f.Type):
			return fmt.Errorf("%w: %s of type %q", ErrName, name, f.Type)
		case seen[name]:
			return fmt.Errorf("%w: %s given twice", ErrName, name)
		}
		seen[name] = true
		value := f.text()
		w.line = fmt.Appendf(w.line, "<%s:%d", name, len(value))
		if f.Type != 0 {
			w.line = append(w.line, ':', f.Type&^0x20)
		}
		w.line = append(append(append(w.line, '>'), value...), separator...)
	}
	w.line = append(w.line, mark...)
	w.used = true
	_, err := w.out.Write(w.line)
	return err
}

// linedFields may hold several lines: those of type MultilineString (section
// III.C.1.b).
var linedFields = []string{"ADDRESS", "NOTES", "QSLMSG", "QSLMSG_RCVD", "RIG"}

// text is the value as it is written: ASCII, and line ends, as CR LF, only where
// the field's name or type allows several lines.
func (f Field) text() string {
	if f.Type&^0x20 != 'M' && !slices.Contains(linedFields, strings.ToUpper(f.Name)) {
		return ASCII(f.Value)
	}
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(f.Value), "\n")
	for i := range lines {
		lines[i] = ASCII(lines[i])
	}
	return strings.Join(lines, "\r\n")
}

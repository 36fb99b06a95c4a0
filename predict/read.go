package predict

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"iter"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxInput is the largest text that is read, in bytes; the public catalogue of
// everything in orbit is a few times smaller.
const maxInput = 64 << 20

// mostProblems is how many mistakes are told: a text with more of them is no
// elements, and its rest is not read.
const mostProblems = 1000

// ReadElements reads element sets from a text in any of five forms, told apart
// by the content: two-line sets with or without a name line, and orbit
// mean-elements messages (CCSDS 502.0-B) as JSON, CSV, XML or key = value.
//
// Every field is checked here. A set that is wrong is left out and told in
// problems, the first thousand of them, the others are kept; sets and problems
// stand in the order of the text, several sets of one catalog number included (see
// Newest). The error is the reader's own, or that the text is too long.
func ReadElements(r io.Reader, file string) (sets []Elements, problems []*InputError, err error) {
	in, err := readInput(r, file)
	if err != nil {
		return nil, nil, err
	}
	in.form()()
	return in.sets, in.problems, nil
}

// An input collects what is read from one text.
type input struct {
	file     string
	text     string
	sets     []Elements
	problems []*InputError
	bad      *InputError // the first mistake in the set or row at hand
}

// readInput reads a whole text, without a byte order mark and with plain line
// ends.
func readInput(r io.Reader, file string) (*input, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxInput+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if len(text) > maxInput {
		return nil, fmt.Errorf("%s: more than %d MiB", file, maxInput>>20)
	}
	plain := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.TrimPrefix(string(text), "\ufeff"))
	return &input{file: file, text: plain}, nil
}

var keyValue = regexp.MustCompile(`^[A-Z][A-Z0-9_]*\s*=`)

// form chooses the reader by the first line with something in it.
func (in *input) form() func() {
	for line := range strings.SplitSeq(in.text, "\n") {
		switch s := strings.TrimSpace(line); {
		case s == "" || s[0] == '#':
		case s[0] == '[' || s[0] == '{':
			return in.json
		case s[0] == '<':
			return in.xml
		case strings.Contains(s, ",") && strings.Contains(s, "MEAN_MOTION"):
			return in.csv
		case keyValue.MatchString(s) || strings.HasPrefix(s, "COMMENT "):
			return in.keyValue
		default:
			return in.twoLines
		}
	}
	return in.twoLines
}

// rows reads comma-separated values (RFC 4180) with comment lines: the fields of
// each row with their places, or none where the row is broken, which is noted.
func (in *input) rows(trim bool) iter.Seq[[]token] {
	return func(yield func([]token) bool) {
		r := csv.NewReader(strings.NewReader(in.text))
		r.Comment, r.FieldsPerRecord, r.TrimLeadingSpace = '#', -1, trim
		for {
			fields, err := r.Read()
			if err == io.EOF {
				return
			}
			var tokens []token
			for i, f := range fields {
				line, column := r.FieldPos(i)
				tokens = append(tokens, token{f, line, column})
			}
			// Of a text in memory a quotation mark is all that can be wrong.
			if broken, ok := errors.AsType[*csv.ParseError](err); ok {
				tokens = nil
				in.quotation(broken)
			}
			if !yield(tokens) {
				return
			}
		}
	}
}

// quotation notes a mark out of place. One that is left open swallows the rows
// after its own: what is wrong is where that row begins, not where the text ends.
func (in *input) quotation(e *csv.ParseError) {
	if e.Line != e.StartLine {
		in.mistake(token{"", e.StartLine, 1}, "a row with a quotation mark left open",
			"quotation marks only in pairs, around a whole field")
		return
	}
	in.mistake(token{"", e.Line, e.Column}, "a quotation mark out of place",
		"quotation marks only around a whole field, doubled within it")
}

// record names the fields of a row.
func (in *input) record(columns []string, fields []token) map[string]token {
	if len(fields) != len(columns) {
		in.mistake(fields[0], fmt.Sprintf("%d fields", len(fields)),
			fmt.Sprintf("%d, as many as there are columns", len(columns)))
		return nil
	}
	record := make(map[string]token, len(columns))
	for i, name := range columns {
		record[name] = fields[i].trim()
	}
	return record
}

// A token is a piece of text and where it began.
type token struct {
	text         string
	line, column int
}

// lines are those of the text without blanks at both ends, that are neither empty
// nor a comment, until there are too many mistakes.
func (in *input) lines() iter.Seq[token] {
	return func(yield func(token) bool) {
		number := 0
		for line := range strings.SplitSeq(in.text, "\n") {
			number++
			l := token{strings.TrimRight(line, " \t\x00\x1a"), number, 1}.trim()
			comment := strings.HasPrefix(l.text, "#")
			if in.hopeless() || l.text != "" && !comment && !yield(l) {
				return
			}
		}
	}
}

// cut is columns from to to (from 1, inclusive) of a line.
func (t token) cut(from, to int) token {
	from, to = min(from-1, len(t.text)), min(to, len(t.text))
	return token{t.text[from:to], t.line, t.column + from}
}

// trim takes off blanks at both ends.
func (t token) trim() token {
	s := strings.TrimLeft(t.text, " \t")
	t.column += len(t.text) - len(s)
	t.text = strings.TrimRight(s, " \t")
	return t
}

// wrong notes a token that is not what was expected. Only the first mistake of a
// set counts: what is read after it goes nowhere.
func (in *input) wrong(t token, expected string, args ...any) {
	in.mistake(t, found(t.text), fmt.Sprintf(expected, args...))
}

func (in *input) mistake(at token, found, expected string) {
	if in.bad == nil {
		in.bad = &InputError{in.file, at.line, at.column, found, expected}
	}
}

// end keeps a set, or tells what is wrong in it.
func (in *input) end(e Elements) {
	if in.bad == nil {
		in.sets = append(in.sets, e)
	}
	in.tell()
}

// tell puts the mistake at hand, if there is one, among the problems.
func (in *input) tell() {
	if in.bad != nil && !in.hopeless() {
		in.problems = append(in.problems, in.bad)
		if in.hopeless() {
			in.bad.Expected += fmt.Sprintf("; after %d mistakes the rest was not read", mostProblems)
		}
	}
	in.bad = nil
}

// hopeless reports whether a text has so many mistakes that its rest is not read.
func (in *input) hopeless() bool { return len(in.problems) >= mostProblems }

// found quotes what stands in the text, not too much of it.
func found(s string) string {
	const most = 40
	switch {
	case s == "":
		return "nothing"
	case strings.TrimSpace(s) == "":
		return "blanks"
	case utf8.RuneCountInString(s) > most:
		s = string([]rune(s)[:most]) + "…"
	}
	return strconv.Quote(s)
}

// cleanName makes a name fit to be shown: one line, no control characters.
func cleanName(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

var (
	decimal = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]{1,3})?$`)
	point   = regexp.MustCompile(`^([ +-])([0-9]{5})([+ -])([0-9])$`)
)

// number reads a decimal number within lo and hi. It is stricter than strconv,
// which takes underscores, hexadecimal and infinities.
func (in *input) number(t token, what string, lo, hi float64) float64 {
	if t = t.trim(); !decimal.MatchString(t.text) {
		in.wrong(t, "%s: a decimal number", what)
	}
	v, err := strconv.ParseFloat(t.text, 64)
	if err != nil || v < lo || v > hi {
		in.wrong(t, "%s: a number from %v to %v", what, lo, hi)
	}
	return v
}

// integer reads digits only, within lo and hi.
func (in *input) integer(t token, what string, lo, hi int) int {
	t = t.trim()
	v, err := strconv.ParseUint(t.text, 10, 62)
	if err != nil || int(v) < lo || int(v) > hi {
		in.wrong(t, "%s: a whole number from %d to %d", what, lo, hi)
	}
	return int(v)
}

package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"skyslate/parse"
	"skyslate/predict"
)

// longestLine is what one line of input may hold; a chat message has a few
// thousand characters.
const longestLine = 1 << 20

func runRead(args []string, std stdio) error {
	fs := newFlags("read", "[-own CALL] [-why] [-json] [-in json]",
		"Reads lines from standard input and shows how each would be read, knowing\n"+
			"nothing of what was said before.")
	known := parse.Known{Birds: birdNames()}
	fs.Func("own", "your own `CALL`, never logged as a contact", func(s string) (err error) {
		known.Own, err = parse.ParseCallsign(s)
		return err
	})
	asJSON := fs.Bool("json", false, "one JSON object for each line")
	why := fs.Bool("why", false, "with each line the phrases that were found in it, each with its row in parse/phrases.txt,\nand what became of its words (not with -json)")
	form := fs.String("in", "text", "`FORM` of the input: text, or json for one object a line with id and text (implies -json)")
	if err := parseFlags(fs, args, std); err != nil {
		return err
	}
	r := reading{known: known, std: std}
	switch {
	case *form != "text" && *form != "json":
		return usagef("-in %q: expected text or json", *form)
	case *why && (*form == "json" || *asJSON):
		return usagef("-why together with JSON: expected one of them")
	case *form == "json", *asJSON:
		return r.json(*form == "json")
	}
	return r.text(*why)
}

func birdNames() []string {
	var list []string
	for _, b := range predict.StarterBirds() {
		list = append(append(list, b.Name), b.Aliases...)
	}
	return list
}

// reading is one run of read.
type reading struct {
	known parse.Known
	std   stdio
}

// text prints for humans, and with why how each line was read.
func (r reading) text(why bool) error {
	out := bufio.NewWriter(r.std.out)
	err := eachLine(r.std.in, func(n int, line []byte, err error) error {
		if err != nil {
			fmt.Fprintf(out, "%d: %v\n", n, err)
			return nil
		}
		for _, e := range parse.Explain(string(line), r.known) {
			printLine(out, n, e.Line)
			if why {
				printReasons(out, e)
			}
		}
		return out.Flush()
	})
	return errors.Join(err, out.Flush())
}

// printLine prints a line for each contact of l, or one that says that there is
// none.
func printLine(w io.Writer, n int, l parse.Line) {
	if len(l.Contacts) == 0 {
		fmt.Fprintf(w, "%d %s\n", n, l.Verdict)
	}
	for _, c := range l.Contacts {
		fmt.Fprintf(w, "%d %s %s\n", n, c.Verdict, strings.Join(contactWords(c), " "))
		for _, candidate := range c.Candidates {
			fmt.Fprintf(w, "    perhaps %s %s\n", candidate.Call, joined(candidate.Grids))
		}
	}
}

// printReasons prints the phrases of a line, and its words by what became of them.
func printReasons(w io.Writer, e parse.Explanation) {
	for _, p := range e.Phrases {
		fmt.Fprintf(w, "    phrases.txt:%d %s: %q fits %s\n", p.Row, p.Sense, p.Text, p.Pattern)
	}
	for _, use := range []string{"field", "neutral", "comment"} {
		var list []string
		for _, word := range e.Words {
			if word.Use == use {
				list = append(list, word.Text)
			}
		}
		if len(list) > 0 {
			fmt.Fprintf(w, "    %s: %s\n", use, strings.Join(list, " "))
		}
	}
}

// contactWords are the parts of a contact that there are.
func contactWords(c parse.Contact) []string {
	var words []string
	for _, part := range []struct{ name, value string }{
		{"", c.Call.String()},
		{"", joined(c.Grids)},
		{"on ", c.Date.String()},
		{"at ", c.Clock.String()},
		{"report ", c.Report},
		{"report sent ", c.ReportSent},
		{"name ", c.Name},
		{"comment ", c.Comment},
		{"because: ", string(c.Why)},
	} {
		if part.value != "" {
			words = append(words, part.name+part.value)
		}
	}
	if c.Offset.IsSet() {
		words = append(words, fmt.Sprintf("%s from the slate", c.Offset.Duration()))
	}
	return words
}

func joined(grids []parse.Grid) string { return strings.Join(gridStrings(grids), " ") }

// json prints an object for each line: for the text that it is, or for that of
// the object in it.
func (r reading) json(objects bool) error {
	out := newLines(r.std.out)
	failed := false
	err := eachLine(r.std.in, func(n int, line []byte, err error) error {
		in := messageObject{Text: new(string(line))}
		if err == nil && objects {
			in, err = decodeMessage(line)
		}
		if err != nil {
			failed = true
			out.object(lineError{n, err.Error()})
			return nil
		}
		o := lineObjectOf(n, parse.Read(*in.Text, r.known))
		o.ID = in.ID
		out.object(o)
		return nil
	})
	err = errors.Join(err, out.flush())
	if err == nil && failed {
		return errors.New("some lines could not be read; they are marked in the output")
	}
	return err
}

// eachLine calls fn for each line of r, with an error for one that is too long.
// Line ends and a byte order mark at the start don't belong to a line.
func eachLine(r io.Reader, fn func(n int, line []byte, err error) error) error {
	in := bufio.NewReaderSize(r, longestLine)
	for n := 1; ; n++ {
		line, err := in.ReadSlice('\n')
		long := errors.Is(err, bufio.ErrBufferFull)
		for errors.Is(err, bufio.ErrBufferFull) {
			_, err = in.ReadSlice('\n')
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		end := err != nil
		if end && len(line) == 0 {
			return nil
		}
		var told error
		if long {
			line, told = nil, fmt.Errorf("found more than %d bytes, expected the end of the line", longestLine)
		}
		line = bytes.TrimSuffix(bytes.TrimSuffix(line, []byte("\n")), []byte("\r"))
		if n == 1 {
			line = bytes.TrimPrefix(line, []byte("\ufeff"))
		}
		if err := fn(n, line, told); err != nil || end {
			return err
		}
	}
}

// messageObject is an input object.
type messageObject struct {
	ID   json.RawMessage `json:"id"`
	Text *string         `json:"text"`
}

func decodeMessage(line []byte) (messageObject, error) {
	var m messageObject
	err := json.Unmarshal(line, &m)
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &kind):
		return m, fmt.Errorf("column %d: found a JSON %s, expected an object with id and text", max(kind.Offset, 1), kind.Value)
	case errors.As(err, &syntax):
		return m, fmt.Errorf("column %d: %v, expected an object with id and text", max(syntax.Offset, 1), syntax)
	case err != nil:
		return m, fmt.Errorf("%v, expected an object with id and text", err)
	case m.Text == nil:
		return m, errors.New("found no text, expected an object with id and text")
	}
	if m.ID == nil {
		m.ID = json.RawMessage("null")
	}
	return m, nil
}

// lineObject is a reading as a stable face.
type lineObject struct {
	ID       json.RawMessage `json:"id,omitempty"` // of the input object, if it was one
	Line     int             `json:"line"`
	Verdict  parse.Verdict   `json:"verdict"`
	Contacts []contactObject `json:"contacts"`
}

type lineError struct {
	Line  int    `json:"line"`
	Error string `json:"error"`
}

type contactObject struct {
	Call       *string           `json:"call"`
	Grids      []string          `json:"grids"`
	Minute     *int              `json:"minute"`
	HHMM       *string           `json:"hhmm"`
	OffsetS    *int              `json:"offset_s"`
	Name       *string           `json:"name"`
	Report     *string           `json:"report"`
	ReportSent *string           `json:"report_sent"`
	Date       *string           `json:"date"`
	Comment    *string           `json:"comment"`
	Verdict    parse.Verdict     `json:"verdict"`
	Why        *string           `json:"why"`
	Candidates []candidateObject `json:"candidates"`
}

type candidateObject struct {
	Call  *string  `json:"call"`
	Grids []string `json:"grids"`
}

// lineObjectOf puts the lines of a message into one object: it has to be asked
// about if one of them has.
func lineObjectOf(n int, read []parse.Line) lineObject {
	o := lineObject{Line: n, Verdict: parse.Ignore, Contacts: []contactObject{}}
	for _, l := range read {
		if l.Verdict == parse.Ask || o.Verdict == parse.Ignore {
			o.Verdict = l.Verdict
		}
		for _, c := range l.Contacts {
			o.Contacts = append(o.Contacts, contactObjectOf(c))
		}
	}
	return o
}

func contactObjectOf(c parse.Contact) contactObject {
	o := contactObject{
		Call: orNull(c.Call.String()), Grids: gridStrings(c.Grids),
		Name: orNull(c.Name), Report: orNull(c.Report), ReportSent: orNull(c.ReportSent),
		Date: orNull(c.Date.String()), Comment: orNull(c.Comment),
		Verdict: c.Verdict, Why: orNull(string(c.Why)), Candidates: []candidateObject{},
	}
	if c.Clock.IsSet() {
		o.Minute = new(c.Clock.Minute())
	}
	if c.Clock.HasHour() {
		o.HHMM = orNull(fmt.Sprintf("%02d%02d", c.Clock.Hour(), c.Clock.Minute()))
	}
	if c.Offset.IsSet() {
		o.OffsetS = new(int(c.Offset.Duration() / time.Second))
	}
	for _, candidate := range c.Candidates {
		o.Candidates = append(o.Candidates, candidateObject{orNull(candidate.Call.String()), gridStrings(candidate.Grids)})
	}
	return o
}

func orNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func gridStrings(grids []parse.Grid) []string {
	list := make([]string, len(grids))
	for i, g := range grids {
		list[i] = g.String()
	}
	return list
}

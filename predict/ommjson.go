package predict

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sort"
	"strings"
)

// json reads an object, or an array of objects, of keywords.
func (in *input) json() {
	j := newJSONText(in.text)
	err := in.objects(j)
	if err == nil {
		return
	}
	t := j.place(j.d.InputOffset())
	found := err.Error()
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		t = j.place(max(0, syntax.Offset-1))
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		t, found = j.place(int64(len(in.text))), "the end of the text"
	}
	in.mistake(t, found, "well-formed JSON to the end; the rest was not read")
	in.tell()
}

// A jsonText knows where the next value of a JSON text begins.
type jsonText struct {
	text   []byte
	starts []int // of the lines
	d      *json.Decoder
}

func newJSONText(text []byte) *jsonText {
	j := &jsonText{text: text, starts: []int{0}, d: json.NewDecoder(bytes.NewReader(text))}
	j.d.UseNumber()
	for i, c := range text {
		if c == '\n' {
			j.starts = append(j.starts, i+1)
		}
	}
	return j
}

// next reads a token and its place.
func (j *jsonText) next() (json.Token, token, error) {
	at := j.d.InputOffset()
	for at < int64(len(j.text)) && strings.IndexByte(" \t\r\n,:", j.text[at]) >= 0 {
		at++
	}
	t, err := j.d.Token()
	return t, j.place(at), err
}

func (j *jsonText) place(offset int64) token {
	at := min(int(offset), len(j.text))
	line := sort.SearchInts(j.starts, at+1)
	return token{"", line, at - j.starts[line-1] + 1}
}

// objects reads the sets of a text. Only an error of syntax ends it.
func (in *input) objects(j *jsonText) error {
	for depth := 0; ; {
		t, place, err := j.next()
		switch {
		case err == io.EOF && depth == 0:
			return nil
		case err != nil:
			return err
		case t == json.Delim('{'):
			record, err := j.object()
			if err != nil {
				return err
			}
			in.set(record, place)
		case t == json.Delim('['):
			depth++
		case t == json.Delim(']'):
			depth--
		default:
			in.wrong(token{fmt.Sprint(t), place.line, place.column}, "an object with a set of elements")
			in.tell()
		}
	}
}

// object reads the rest of an object; values that are lists or objects
// themselves count as empty.
func (j *jsonText) object() (map[string]token, error) {
	record := map[string]token{}
	for {
		key, _, err := j.next()
		if err != nil {
			return nil, err
		}
		name, ok := key.(string)
		if !ok {
			return record, nil
		}
		value, place, err := j.next()
		if err != nil {
			return nil, err
		}
		switch value := value.(type) {
		case json.Delim:
			if err := j.skip(); err != nil {
				return nil, err
			}
		case nil:
		default:
			place.text = fmt.Sprint(value)
		}
		record[name] = place
	}
}

// skip reads to the end of the list or object just begun.
func (j *jsonText) skip() error {
	for depth := 1; depth > 0; {
		t, _, err := j.next()
		if err != nil {
			return err
		}
		switch t {
		case json.Delim('['), json.Delim('{'):
			depth++
		case json.Delim(']'), json.Delim('}'):
			depth--
		}
	}
	return nil
}

package predict

import (
	"bytes"
	"cmp"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Orbit mean-elements messages (CCSDS 502.0-B). Its key = value form and its
// XML form are the standard's; JSON (an array of flat objects) and CSV (a row
// of the keywords, a row a set) are common practice with the same keywords.
// All four come down to records of the keywords.
//
// Needed are EPOCH, MEAN_MOTION, ECCENTRICITY, INCLINATION, RA_OF_ASC_NODE,
// ARG_OF_PERICENTER, MEAN_ANOMALY, BSTAR, NORAD_CAT_ID and the key OBJECT_NAME.
// Where they are present, CENTER_NAME must be EARTH, REF_FRAME TEME,
// TIME_SYSTEM UTC, MEAN_ELEMENT_THEORY SGP4 and EPHEMERIS_TYPE 0. Units in
// brackets after a value are passed over. A semi-major axis instead of the
// mean motion is not read.

// set makes elements from a record; start is where the record begins.
func (in *input) set(r map[string]token, start token) {
	needed := func(key string) {
		if _, ok := r[key]; !ok {
			in.mistake(start, "a set without "+key, key)
		}
	}
	needed("OBJECT_NAME")
	needed("NORAD_CAT_ID")
	needed("EPOCH")
	// A message must mean what is read into it.
	for _, only := range [][2]string{
		{"CENTER_NAME", "EARTH"},
		{"REF_FRAME", "TEME"},
		{"TIME_SYSTEM", "UTC"},
		{"MEAN_ELEMENT_THEORY", "SGP4"},
		{"EPHEMERIS_TYPE", "0"},
	} {
		if t := r[only[0]]; t.text != "" && !strings.EqualFold(t.text, only[1]) {
			in.wrong(t, "%s %s", only[0], only[1])
		}
	}
	e := Elements{Catalog: in.integer(r["NORAD_CAT_ID"], "catalog number", 1, maxCatalog)}
	e.Epoch = in.instant(r["EPOCH"])
	for _, f := range []struct {
		key      string
		lo, hi   float64
		to       *float64
		optional bool
	}{
		{"MEAN_MOTION", 0, 20, &e.MeanMotion, false},
		{"ECCENTRICITY", 0, 0.9999999, &e.Eccentricity, false},
		{"INCLINATION", 0, 180, &e.InclinationDeg, false},
		{"RA_OF_ASC_NODE", 0, 360, &e.RAANDeg, false},
		{"ARG_OF_PERICENTER", 0, 360, &e.ArgPerigeeDeg, false},
		{"MEAN_ANOMALY", 0, 360, &e.MeanAnomalyDeg, false},
		{"BSTAR", -10, 10, &e.BStar, false},
		{"MEAN_MOTION_DOT", -10, 10, &e.NDot, true},
		{"MEAN_MOTION_DDOT", -10, 10, &e.NDDot, true},
	} {
		if !f.optional {
			needed(f.key)
		} else if r[f.key].text == "" {
			continue
		}
		*f.to = in.number(r[f.key], f.key, f.lo, f.hi)
	}
	e.Designator = cleanName(r["OBJECT_ID"].text)
	e.Name = cmp.Or(cleanName(r["OBJECT_NAME"].text), strconv.Itoa(e.Catalog))
	in.end(e)
}

// instant reads a moment of UTC, with or without the Z, with any number of
// decimals of which six are kept. A leap second (ITU-R TF.460-6) counts as the second
// before it: that is how long it is, in seconds of 86,400 a day, to all that follows.
func (in *input) instant(t token) time.Time {
	text := strings.Replace(strings.TrimSuffix(t.text, "Z"), "T23:59:60", "T23:59:59", 1)
	for _, layout := range []string{"2006-01-02T15:04:05", "2006-002T15:04:05"} {
		at, err := time.Parse(layout, text)
		if err == nil && at.Year() >= firstYear && at.Year() <= lastYear && !strings.Contains(t.text, ",") {
			return at.Round(time.Microsecond)
		}
	}
	in.wrong(t, "EPOCH: a time in UTC, YYYY-MM-DDThh:mm:ss with decimals")
	return time.Time{}
}

// csv reads a row of keywords, in any order, and one set a row after it.
func (in *input) csv() {
	var columns []string
	for fields, err := range in.rows(true) {
		var broken *InputError
		switch {
		case in.hopeless():
			return
		case errors.As(err, &broken):
			in.bad = broken
			in.tell()
		case columns == nil:
			for _, f := range fields {
				columns = append(columns, strings.ToUpper(strings.TrimSpace(f.text)))
			}
		default:
			in.set(in.record(columns, fields), fields[0])
		}
	}
}

// keyValue reads lines of KEY = VALUE. A set ends where the next message
// begins or a key comes again.
func (in *input) keyValue() {
	record := map[string]token{}
	var start token
	flush := func() {
		if len(record) > 0 {
			in.set(record, start)
		}
		record = map[string]token{}
	}
	for _, l := range splitLines(in.text) {
		if in.hopeless() {
			return
		}
		l = l.trim()
		if l.text == "" || l.text[0] == '#' || l.text == "COMMENT" || strings.HasPrefix(l.text, "COMMENT ") {
			continue
		}
		i := strings.IndexByte(l.text, '=')
		if i < 0 {
			in.wrong(l, "KEY = VALUE")
			in.tell()
			continue
		}
		key, value := l.cut(1, i).trim().text, l.cut(i+2, len(l.text)).trim()
		if _, again := record[key]; again || key == "CCSDS_OMM_VERS" {
			flush()
		}
		if len(record) == 0 {
			start = l
		}
		record[key] = withoutUnit(value)
	}
	flush()
}

// withoutUnit takes off a unit in brackets.
func withoutUnit(t token) token {
	if i := strings.LastIndexByte(t.text, '['); i > 0 && strings.HasSuffix(t.text, "]") {
		t.text = t.text[:i]
	}
	return t.trim()
}

// xml reads every omm element of a message: whatever stands in its leaves.
func (in *input) xml() {
	d := xml.NewDecoder(bytes.NewReader(in.text))
	var record map[string]token
	var start, leaf token
	seen := ""
	for {
		line, column := d.InputPos()
		next, err := d.Token()
		switch {
		case err == io.EOF && len(in.sets)+len(in.problems) > 0:
			return
		case err == io.EOF:
			in.wrong(token{seen, 1, 1}, "elements named omm")
			in.tell()
			return
		case err != nil:
			in.brokenXML(d, err)
			return
		case in.hopeless():
			return
		}
		switch next := next.(type) {
		case xml.StartElement:
			if seen == "" {
				seen = next.Name.Local
			}
			if next.Name.Local == "omm" {
				record, start = map[string]token{}, token{"", line, column}
			}
			leaf = token{"", line, column}
		case xml.CharData:
			leaf = token{string(next), line, column}
		case xml.EndElement:
			if record != nil && strings.ToUpper(next.Name.Local) == next.Name.Local {
				record[next.Name.Local] = withoutUnit(leaf.trim())
			}
			if next.Name.Local == "omm" && record != nil {
				in.set(record, start)
				record = nil
			}
			leaf = token{"", line, column}
		}
	}
}

func (in *input) brokenXML(d *xml.Decoder, err error) {
	line, column := d.InputPos()
	found := err.Error()
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		found = syntax.Msg
	}
	in.mistake(token{"", line, max(column, 1)}, found, "well-formed XML; the rest was not read")
	in.tell()
}

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
	line, _ := slices.BinarySearch(j.starts, at+1)
	return token{"", line, at - j.starts[line-1] + 1}
}

// objects reads the sets of a text. Only an error of syntax ends it.
func (in *input) objects(j *jsonText) error {
	for depth := 0; ; {
		t, place, err := j.next()
		switch {
		case err == io.EOF && depth == 0, in.hopeless():
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

package predict

import (
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
	for _, key := range []string{"OBJECT_NAME", "NORAD_CAT_ID", "EPOCH"} {
		in.needed(r, key, start)
	}
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
	number := func(key string, lo, hi float64) float64 {
		if strings.HasSuffix(key, "DOT") && r[key].text == "" { // the model needs no derivatives
			return 0
		}
		in.needed(r, key, start)
		return in.number(r[key], key, lo, hi)
	}
	e := Elements{
		Designator:     cleanName(r["OBJECT_ID"].text),
		Catalog:        in.integer(r["NORAD_CAT_ID"], "catalog number", 1, maxCatalog),
		Epoch:          in.instant(r["EPOCH"]),
		MeanMotion:     number("MEAN_MOTION", 0, 20),
		Eccentricity:   number("ECCENTRICITY", 0, 0.9999999),
		InclinationDeg: number("INCLINATION", 0, 180),
		RAANDeg:        number("RA_OF_ASC_NODE", 0, 360),
		ArgPerigeeDeg:  number("ARG_OF_PERICENTER", 0, 360),
		MeanAnomalyDeg: number("MEAN_ANOMALY", 0, 360),
		BStar:          number("BSTAR", -10, 10),
		NDot:           number("MEAN_MOTION_DOT", -10, 10),
		NDDot:          number("MEAN_MOTION_DDOT", -10, 10),
	}
	e.Name = cmp.Or(cleanName(r["OBJECT_NAME"].text), strconv.Itoa(e.Catalog))
	in.end(e)
}

// needed notes that a record lacks a key.
func (in *input) needed(r map[string]token, key string, start token) {
	if _, ok := r[key]; !ok {
		in.mistake(start, "a set without "+key, key)
	}
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
	for fields := range in.rows(true) {
		switch {
		case in.hopeless():
			return
		case in.bad != nil:
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
	for l := range in.lines() {
		i := strings.IndexByte(l.text, '=')
		switch {
		case l.text == "COMMENT" || strings.HasPrefix(l.text, "COMMENT "):
			continue
		case i < 0:
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
	d := xml.NewDecoder(strings.NewReader(in.text))
	var record map[string]token
	var start, leaf token
	outermost := ""
	for !in.hopeless() {
		line, column := d.InputPos()
		part, err := d.Token()
		if err != nil {
			in.endOfXML(d, err, outermost)
			return
		}
		before := leaf
		leaf = token{"", line, column}
		switch part := part.(type) {
		case xml.StartElement:
			outermost = cmp.Or(outermost, part.Name.Local)
			if part.Name.Local == "omm" {
				record, start = map[string]token{}, leaf
			}
		case xml.CharData:
			leaf.text = string(part)
		case xml.EndElement:
			name := part.Name.Local
			if record != nil && strings.ToUpper(name) == name {
				record[name] = withoutUnit(before.trim())
			}
			if record != nil && name == "omm" {
				in.set(record, start)
				record = nil
			}
		}
	}
}

// endOfXML tells why a message ends, unless it ends well.
func (in *input) endOfXML(d *xml.Decoder, err error, outermost string) {
	if err != io.EOF {
		found := err.Error()
		if syntax, ok := errors.AsType[*xml.SyntaxError](err); ok {
			found = syntax.Msg
		}
		line, column := d.InputPos()
		in.mistake(token{"", line, max(column, 1)}, found, "well-formed XML; the rest was not read")
	} else if len(in.sets)+len(in.problems) == 0 {
		in.wrong(token{outermost, 1, 1}, "elements named omm")
	}
	in.tell()
}

// json reads an object, or an array of objects, of keywords.
func (in *input) json() {
	j := newJSONText(in.text)
	err := in.objects(j)
	if err == nil {
		return
	}
	at, found := j.d.InputOffset(), err.Error()
	if syntax, ok := errors.AsType[*json.SyntaxError](err); ok {
		at = max(0, syntax.Offset-1)
	} else if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		at, found = int64(len(in.text)), "the end of the text"
	}
	in.mistake(j.place(at), found, "well-formed JSON to the end; the rest was not read")
	in.tell()
}

// objects reads the sets of a text. Only an error of syntax ends it.
func (in *input) objects(j *jsonText) error {
	for depth := 0; !in.hopeless(); {
		place := j.next()
		t, err := j.d.Token()
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
			place.text = fmt.Sprint(t)
			in.wrong(place, "an object with a set of elements")
			in.tell()
		}
	}
	return nil
}

// A jsonText knows where the next value of a JSON text begins.
type jsonText struct {
	text   string
	starts []int // of the lines
	d      *json.Decoder
}

func newJSONText(text string) *jsonText {
	j := &jsonText{text: text, starts: []int{0}, d: json.NewDecoder(strings.NewReader(text))}
	j.d.UseNumber()
	for i := range len(text) {
		if text[i] == '\n' {
			j.starts = append(j.starts, i+1)
		}
	}
	return j
}

// next is the place of the next value.
func (j *jsonText) next() token {
	read := j.text[j.d.InputOffset():]
	return j.place(int64(len(j.text) - len(strings.TrimLeft(read, " \t\n,:"))))
}

func (j *jsonText) place(offset int64) token {
	at := min(int(offset), len(j.text))
	line, _ := slices.BinarySearch(j.starts, at+1)
	return token{"", line, at - j.starts[line-1] + 1}
}

// object reads the rest of an object; values that are lists, objects or null count
// as empty.
func (j *jsonText) object() (map[string]token, error) {
	record := map[string]token{}
	for j.d.More() {
		key, err := j.d.Token()
		if err != nil {
			return nil, err
		}
		place := j.next()
		var value json.RawMessage
		if err := j.d.Decode(&value); err != nil {
			return nil, err
		}
		switch value[0] {
		case '[', '{', 'n':
		case '"':
			err = json.Unmarshal(value, &place.text)
		default:
			place.text = string(value)
		}
		if err != nil {
			return nil, err
		}
		record[fmt.Sprint(key)] = place
	}
	_, err := j.d.Token()
	return record, err
}

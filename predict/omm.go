package predict

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"io"
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
		if _, ok := r[key]; !ok {
			in.missing(start, key)
		}
	}
	in.readable(r)
	e := Elements{Catalog: in.integer(r["NORAD_CAT_ID"], "catalog number", 1, maxCatalog)}
	e.Epoch = in.instant(r["EPOCH"])
	in.numbers(r, start, &e)
	e.Designator = cleanName(r["OBJECT_ID"].text)
	e.Name = cmp.Or(cleanName(r["OBJECT_NAME"].text), strconv.Itoa(e.Catalog))
	in.end(e)
}

// readable checks that a message means what we read into it.
func (in *input) readable(r map[string]token) {
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
}

func (in *input) numbers(r map[string]token, start token, e *Elements) {
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
		t, ok := r[f.key]
		if f.optional && t.text == "" {
			continue
		}
		if !ok {
			in.missing(start, f.key)
		}
		*f.to = in.number(t, f.key, f.lo, f.hi)
	}
}

func (in *input) missing(start token, key string) { in.mistake(start, "a set without "+key, key) }

// instant reads a moment of UTC, with or without the Z, with any number of
// decimals of which six are kept.
func (in *input) instant(t token) time.Time {
	for _, layout := range []string{"2006-01-02T15:04:05", "2006-002T15:04:05"} {
		at, err := time.Parse(layout, strings.TrimSuffix(t.text, "Z"))
		if err == nil && at.Year() >= firstYear && at.Year() <= lastYear && !strings.Contains(t.text, ",") {
			return at.Round(time.Microsecond)
		}
	}
	in.wrong(t, "EPOCH: a time in UTC, YYYY-MM-DDThh:mm:ss with decimals")
	return time.Time{}
}

// csv reads a row of keywords, in any order, and one set a row after it.
func (in *input) csv() {
	rows := csv.NewReader(bytes.NewReader(in.text))
	rows.Comment = '#'
	rows.FieldsPerRecord = -1
	rows.TrimLeadingSpace = true
	var columns []string
	for {
		fields, err := rows.Read()
		var broken *InputError
		switch {
		case err == io.EOF:
			return
		case errors.As(in.csvError(err), &broken):
			in.problems = append(in.problems, broken)
		case columns == nil:
			for _, f := range fields {
				columns = append(columns, strings.ToUpper(strings.TrimSpace(f)))
			}
		default:
			tokens := tokensOf(rows, fields)
			in.set(in.record(columns, tokens), tokens[0])
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

package main

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"strconv"
	"strings"
	"time"

	"skyslate/parse"
	"skyslate/predict"
)

// The flag values that have a form of their own. What is wrong in one is told
// with its column; flag puts the name and the text before it.

// place is a -at or -with: a site, and how it was given.
type place struct {
	text string
	site predict.Site
}

func (p *place) String() string { return p.text }

func (p *place) Set(s string) (err error) {
	p.text = s
	if strings.Contains(s, ",") {
		p.site, err = parseCoordinates(s)
		return err
	}
	grid, err := parse.ParseGrid(s)
	var syntax *parse.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return fmt.Errorf("line 1, column %d: found %s, expected %s (a grid as JO62qm, or LAT,LON[,METRES])",
			syntax.At+1, syntax.Found, syntax.Expected)
	case err != nil:
		return err
	}
	p.text = grid.String()
	p.site.LatDeg, p.site.LonDeg = grid.Center()
	return nil
}

// argumentError says where in an argument something else was expected.
func argumentError(column int, found, expected string) error {
	shown := strconv.Quote(found)
	if found == "" {
		shown = "the end"
	}
	return fmt.Errorf("line 1, column %d: found %s, expected %s", column, shown, expected)
}

// eachPart takes the parts of a list with commas between.
func eachPart(s, expected string, take func(part string) bool) error {
	column := 1
	for part := range strings.SplitSeq(s, ",") {
		if !take(strings.TrimSpace(part)) {
			return argumentError(column, part, expected)
		}
		column += len(part) + 1
	}
	return nil
}

// coordinates are the parts of LAT,LON[,METRES].
var coordinates = []struct {
	low, high float64
	expected  string
}{
	{-90, 90, "a latitude from -90 to 90"},
	{-180, 180, "a longitude from -180 to 180"},
	{-500, 9000, "a height in metres from -500 to 9000"},
}

func parseCoordinates(s string) (predict.Site, error) {
	var values [3]float64
	column := 1
	for i, part := range strings.Split(s, ",") {
		if i == len(coordinates) {
			return predict.Site{}, argumentError(column-1, ","+part, "LAT,LON[,METRES] and no more")
		}
		f, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if c := coordinates[i]; err != nil || !(f >= c.low && f <= c.high) {
			return predict.Site{}, argumentError(column, part, c.expected)
		}
		values[i] = f
		column += len(part) + 1
	}
	return predict.Site{LatDeg: values[0], LonDeg: values[1], HeightM: values[2]}, nil
}

// moment is a time of RFC 3339, kept in UTC.
type moment struct{ time.Time }

func (m *moment) String() string {
	if m.IsZero() {
		return ""
	}
	return m.Format(time.RFC3339Nano)
}

func (m *moment) Set(s string) error {
	s = strings.Replace(s, ":59:60", ":59:59", 1) // a leap second (RFC 3339, 5.7)
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		at := mismatch(s)
		return argumentError(at+1, s[at:], "a time as 2026-09-01T10:00:00Z")
	}
	m.Time = t.UTC()
	return nil
}

// mismatch returns the offset at which s stops having the shape of a time. A
// value out of range has the right shape: then it is that number's offset.
func mismatch(s string) int {
	const shape = "0000-00-00T00:00:00"
	for i := range min(len(s), len(shape)) {
		if digit := s[i] >= '0' && s[i] <= '9'; digit != (shape[i] == '0') || !digit && s[i] != shape[i] {
			return i
		}
	}
	if len(s) < len(shape) {
		return len(s)
	}
	for _, end := range []int{7, 10, 13, 16, 19} { // the ends of month, day, hour, …
		whole := s[:end] + "2000-01-01T00:00:00"[end:] + "Z"
		if _, err := time.Parse(time.RFC3339, whole); err != nil {
			return end - 2
		}
	}
	return len(shape)
}

// words are a flag that can be given several times.
type words []string

func (w *words) String() string { return strings.Join(*w, " ") }

func (w *words) Set(s string) error {
	if s == "" {
		return errors.New("it is empty")
	}
	*w = append(*w, s)
	return nil
}

const aboutBirds = "the list of birds in a `FILE` of the form of predict/birds.csv, instead of the built-in one"

// birdsFlag is a list of birds of the owner's, read as soon as it is named; the
// built-in one otherwise.
func birdsFlag(fs *flag.FlagSet, birds *[]predict.Bird) {
	*birds = predict.StarterBirds()
	fs.Func("birds", aboutBirds, func(name string) error {
		f, err := os.Open(name)
		if err != nil {
			return errors.New(strings.TrimPrefix(err.Error(), "open "))
		}
		defer f.Close()
		*birds, err = predict.ReadBirds(f, name)
		if err == nil && len(*birds) == 0 {
			err = errors.New("there is no bird in it")
		}
		return err
	})
}

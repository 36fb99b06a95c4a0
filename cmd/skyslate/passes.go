package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/sky"
	"skyslate/predict"
)

// longestHours bounds what one call computes: a year.
const longestHours = 366 * 24

// longestPass is how far beyond the window a pass is followed: longer than any
// of a bird that is low enough to be worked with a hand-held antenna.
const longestPass = 3 * time.Hour

// dialStepKHz is the raster of the radio (common practice, no source: FM
// hand-helds tune in steps of 5 kHz).
const dialStepKHz = 5

// passesQuery is what the arguments of passes ask for.
type passesQuery struct {
	files    words
	at, with place
	from, to time.Time
	minDeg   float64
	bird     string
	mhz      []float64
	stale    bool
	json     bool
}

func runPasses(args []string, std stdio) error {
	q, err := parsePasses(args, std)
	if err != nil {
		return err
	}
	tables, err := q.tables(std)
	if err != nil {
		return err
	}
	if q.with.text != "" {
		return show(q.windows(tables), q.json, std, q.textWindows, windowObjectOf)
	}
	return show(q.sightings(tables), q.json, std, q.textPasses, q.passObject)
}

func parsePasses(args []string, std stdio) (q passesQuery, err error) {
	fs := newFlags("passes", "-elements FILE -at PLACE -from TIME -hours H [more]",
		"Lists every pass of which a part lies in the hours asked for, by AOS.\n"+
			"Times are UTC, azimuths true, AOS and LOS where the bird crosses -min.")
	var from moment
	var hours float64
	fs.Var(&q.files, "elements", "element sets in a `FILE`: two-line sets or mean-elements messages (repeatable)")
	fs.Var(&q.at, "at", "the `PLACE`: a grid, meaning its centre, or LAT,LON[,METRES]")
	fs.Var(&from, "from", "first `TIME`, as 2026-09-01T10:00:00Z")
	fs.Float64Var(&hours, "hours", 0, "how many `HOURS` from there")
	fs.Float64Var(&q.minDeg, "min", 0, "lowest elevation in `DEGREES`")
	fs.StringVar(&q.bird, "bird", "", "only the bird of this `NAME` or catalog number")
	fs.Func("mhz", "nominal frequencies in `MHZ,MHZ`: shift, and the dial in steps of 5 kHz", func(s string) error {
		q.mhz = nil
		return eachPart(s, "a frequency in MHz", func(part string) bool {
			mhz, err := strconv.ParseFloat(part, 64)
			q.mhz = append(q.mhz, mhz)
			return err == nil && mhz > 0 && mhz < 100e3
		})
	})
	fs.Var(&q.with, "with", "common windows with this `PLACE` instead of passes")
	fs.BoolVar(&q.stale, "stale", false, "predict from element sets of any age")
	fs.BoolVar(&q.json, "json", false, "one JSON object a line")
	if err := parseFlags(fs, args, std, "elements", "at", "from"); err != nil {
		return q, err
	}
	switch {
	case !(hours > 0 && hours <= longestHours):
		return q, usagef("-hours %g: expected more than 0 and at most %d", hours, longestHours)
	case q.with.text != "" && given(fs, "mhz"):
		return q, usagef("-with and -mhz don't go together")
	case !(q.minDeg > -90 && q.minDeg < 90):
		return q, usagef("-min %g: expected degrees above -90 and below 90", q.minDeg)
	}
	q.from = from.Time
	q.to = q.from.Add(max(time.Duration(hours*float64(time.Hour)), 1))
	return q, nil
}

// A span is an ephemeris and the part of the window that its elements are good
// for.
type span struct {
	*predict.Ephemeris
	from, to time.Time
}

// tables reads the elements and computes an ephemeris for each bird asked for.
// What has to be left out is told on standard error.
func (q passesQuery) tables(std stdio) ([]span, error) {
	sets, complete, err := q.read(std)
	if err != nil {
		return nil, err
	}
	var tables []span
	for _, e := range q.closest(sets) {
		from, to := q.goodFor(e, std)
		if !from.Before(to) {
			continue
		}
		// A pass may reach over the window's ends, and its light is told from
		// AOS on.
		p, err := predict.NewEphemeris(e, from.Add(-longestPass), to.Add(longestPass))
		if err != nil {
			fmt.Fprintf(std.err, "left out: %v\n", err)
			continue
		}
		tables = append(tables, span{p, from, to})
	}
	if len(tables) > 0 {
		return tables, nil
	}
	advice := ""
	if !complete {
		advice = "; fetch fresh ones, or correct the file"
	}
	return nil, errors.New("no element set is left to predict from" + advice)
}

// read returns the element sets of all files that are of the bird asked for, and
// whether every set could be read.
func (q passesQuery) read(std stdio) (sets []predict.Elements, complete bool, err error) {
	complete = true
	for _, name := range q.files {
		more, problems, err := readElementsFile(name)
		if err != nil {
			return nil, false, err
		}
		complete = complete && len(problems) == 0
		tellLeftOut(problems, name, std)
		sets = append(sets, more...)
	}
	if len(sets) == 0 {
		return nil, complete, fmt.Errorf("there is no usable element set in %s", &q.files)
	}
	chosen := slices.DeleteFunc(slices.Clone(sets), func(e predict.Elements) bool { return !q.wants(e) })
	if len(chosen) == 0 {
		return nil, complete, fmt.Errorf("there is no element set of %q in %s; there is: %s", q.bird, &q.files, names(sets))
	}
	return chosen, complete, nil
}

// tellLeftOut lists what could not be read of a file, up to a sensible number.
func tellLeftOut(problems []*predict.InputError, name string, std stdio) {
	const most = 20
	for _, p := range problems[:min(most, len(problems))] {
		fmt.Fprintf(std.err, "left out: %v\n", p)
	}
	if more := len(problems) - most; more > 0 {
		fmt.Fprintf(std.err, "left out: %d more places in %s\n", more, name)
	}
}

// wants reports whether a set is of the bird asked for: by its number, by a name in
// the file, or by one that the bird list knows.
func (q passesQuery) wants(e predict.Elements) bool {
	if q.bird == "" || q.bird == strconv.Itoa(e.Catalog) || e.Called(q.bird) {
		return true
	}
	b, ok := sky.Find(predict.StarterBirds(), q.bird)
	return ok && b.Catalog == e.Catalog
}

func names(sets []predict.Elements) string {
	const most = 10
	var list []string
	for _, e := range predict.Newest(sets) {
		list = append(list, e.Name)
	}
	if len(list) > most {
		list = append(list[:most], "…")
	}
	return strings.Join(list, ", ")
}

// closest keeps, of several sets of one bird, the one nearest to the middle of
// the window: the newest is not the best for a time gone by.
func (q passesQuery) closest(sets []predict.Elements) []predict.Elements {
	middle := q.from.Add(q.to.Sub(q.from) / 2)
	var best []predict.Elements
	at := make(map[int]int)
	for _, e := range sets {
		i, known := at[e.Catalog]
		switch {
		case !known:
			at[e.Catalog] = len(best)
			best = append(best, e)
		case e.Age(middle) < best[i].Age(middle):
			best[i] = e
		}
	}
	return best
}

// goodFor cuts the window to the time that a set is good for, unless any age is
// allowed. The age counts in either direction.
func (q passesQuery) goodFor(e predict.Elements, std stdio) (from, to time.Time) {
	from, to = q.from, q.to
	if q.stale {
		return from, to
	}
	if first := e.Epoch.Add(-predict.MaxAge); from.Before(first) {
		from = first
	}
	if last := e.Epoch.Add(predict.MaxAge); to.After(last) {
		to = last
	}
	days := int(predict.MaxAge.Hours() / 24)
	epoch := e.Epoch.Format(time.DateOnly)
	switch age := max(e.Age(from), e.Age(to)); {
	case !from.Before(to):
		fmt.Fprintf(std.err, "left out: %s, whose elements are of %s, more than %d days away: "+
			"fetch fresh ones (-stale predicts all the same)\n", e.Name, epoch, days)
	case from != q.from || to != q.to:
		fmt.Fprintf(std.err, "%s only from %s to %s: its elements are of %s, and %d days is the limit "+
			"(-stale predicts all the same)\n", e.Name, stamp(from), stamp(to), epoch, days)
	case age > predict.WarnAge:
		fmt.Fprintf(std.err, "%s: its elements are of %s, %d days away: times may be off by many seconds\n",
			e.Name, epoch, int(age.Hours()/24))
	}
	return from, to
}

// A sighting is a pass with the table it was found in.
type sighting struct {
	predict.Pass
	in span
}

func (q passesQuery) sightings(tables []span) []sighting {
	var all []sighting
	for _, t := range tables {
		for _, p := range t.Passes(q.at.site, t.from, t.to, q.minDeg) {
			all = append(all, sighting{p, t})
		}
	}
	// A bird that never rose has been up from the first.
	slices.SortStableFunc(all, func(a, b sighting) int {
		return cmp.Or(a.AOS.Compare(b.AOS), a.TCA.Compare(b.TCA), cmp.Compare(a.Catalog, b.Catalog))
	})
	return all
}

func (q passesQuery) windows(tables []span) []predict.Window {
	var all []predict.Window
	for _, t := range tables {
		all = append(all, predict.Windows(t.Ephemeris, q.at.site, q.with.site, t.from, t.to, q.minDeg)...)
	}
	slices.SortStableFunc(all, func(a, b predict.Window) int {
		return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Catalog, b.Catalog))
	})
	return all
}

// show prints what was found, as text or an object each.
func show[T, O any](all []T, asJSON bool, std stdio, text func([]T, io.Writer) error, object func(T) O) error {
	if !asJSON {
		return text(all, std.out)
	}
	out := newLines(std.out)
	for _, v := range all {
		out.object(object(v))
	}
	return out.flush()
}

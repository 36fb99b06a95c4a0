package calendar

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

var update = flag.Bool("update", false, "write testdata/sample.ics anew; then run read.mjs over it")

var made = time.Date(2027, 5, 23, 10, 32, 0, 0, time.UTC)

// sample is invented, with all that has to be escaped and folded in it.
func sample() []Entry {
	return []Entry{
		{
			UID: "20270523T104200Z-99301.1f2e3d4c@skyslate", Summary: "WICKET-1, peak 53°, from SW to NE",
			Start: time.Date(2027, 5, 23, 10, 42, 0, 0, time.UTC), End: time.Date(2027, 5, 23, 10, 55, 10, 400e6, time.UTC),
			Text: "AOS 10:42:00 UTC, 11:42:00 WEST\nUp 145.965 tone 88.5, down 436.235 FM\n" +
				"UTC      true az  el  receive\n10:42:00 215 SW   0°  436.245\n10:46:40 197 SSW 30°  436.240\n" +
				"Slate: “This is HX7KZQ in IP62 on WICKET-1, 23 May 2027, UTC now …”; a back\\slash, a semi;colon",
			Place: "IP62", LatDeg: 62.5, LonDeg: -7, Alarms: []time.Duration{45 * time.Minute, 10 * time.Minute},
		},
		{
			UID: "20271231T235500Z-99302.1f2e3d4c@skyslate", Summary: "HAYLOFT-2, over midnight",
			Start: time.Date(2027, 12, 31, 23, 55, 0, 0, time.UTC), End: time.Date(2028, 1, 1, 0, 4, 0, 0, time.UTC),
			Text: "°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°°", Place: "RF73", LatDeg: -36.5, LonDeg: 175,
		},
	}
}

// reading is what read.mjs prints of an entry.
type reading struct {
	UID, Summary, Description, Location string
	Stamp, Start, End                   time.Time
	Geo                                 []float64
	Alarms                              []alarm
}

type alarm struct {
	Action, Description string
	Seconds             int
}

// TestIndependentReader compares what an independent parser read in the file
// with what was put into it. testdata/README.md says which parser and how.
func TestIndependentReader(t *testing.T) {
	got, err := File(sample(), made, "1.0")
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile("testdata/sample.ics", got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("testdata/sample.ics")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Fatalf("the file is not the one that was read (-was +is):\n%s", diff)
	}
	raw, err := os.ReadFile("testdata/sample.json")
	if err != nil {
		t.Fatal(err)
	}
	var read []reading
	if err := json.Unmarshal(raw, &read); err != nil {
		t.Fatal(err)
	}
	if len(read) != len(sample()) {
		t.Fatalf("%d entries read, %d written", len(read), len(sample()))
	}
	for i, e := range sample() {
		compare(t, e, read[i])
	}
}

func compare(t *testing.T, e Entry, r reading) {
	t.Helper()
	want := reading{
		UID: e.UID, Summary: e.Summary, Description: e.Text, Location: e.Place,
		Stamp: made, Start: e.Start.Round(time.Second), End: e.End.Round(time.Second), Geo: []float64{e.LatDeg, e.LonDeg},
	}
	for _, ahead := range e.Alarms {
		want.Alarms = append(want.Alarms, alarm{"DISPLAY", e.Summary, -int(ahead.Seconds())})
	}
	if diff := cmp.Diff(want, r, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("%s (-written +read):\n%s", e.UID, diff)
	}
}

// TestLines holds the file against RFC 5545, 3.1: CR LF at the end of each line,
// no line longer than 75 octets, no letter broken in two.
func TestLines(t *testing.T) {
	got, err := File(sample(), made, "1.0")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(string(got), "\r\n")
	if last := lines[len(lines)-1]; last != "" {
		t.Errorf("after the last line end: %q", last)
	}
	for _, line := range lines[:len(lines)-1] {
		if body := strings.TrimSuffix(line, "\r\n"); len(body) > 75 || strings.ContainsAny(body, "\r\n") || strings.ToValidUTF8(body, "?") != body {
			t.Errorf("%d octets: %q", len(body), line)
		}
	}
	if !bytes.Contains(got, []byte("DTSTART:20270523T104200Z\r\n")) {
		t.Error("the start is not in UTC")
	}
}

func TestRefused(t *testing.T) {
	for _, e := range []Entry{{}, {UID: "a", Start: made, End: made}, {Start: made, End: made.Add(time.Hour)}} {
		if _, err := File([]Entry{e}, made, "1.0"); err == nil {
			t.Errorf("taken: %+v", e)
		}
	}
}

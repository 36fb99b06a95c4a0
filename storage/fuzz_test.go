package storage

import (
	"bytes"
	"testing"
	"time"

	"skyslate/parse"
)

func sampleEntries() []entry {
	at := time.Date(2026, 11, 24, 17, 42, 5, 0, time.UTC)
	call := parse.MustParseCallsign("OX9QZT")
	return []entry{
		{Journal: journalTitle},
		{Operator: &Operator{ID: "70012", Joined: at, Call: call}},
		{Pass: &Pass{ID: "20261124T174205Z-99001", Operator: "70012", AOS: at}},
		{Contact: &Contact{Operator: "70012", ID: 1, Version: 1, Call: call, Grids: []parse.Grid{parse.MustParseGrid("HP15")}, Text: "<&> \u2028 \"quoted\"\n"}},
		{Forgotten: &forgotten{Who: who("70012"), At: at}},
	}
}

// A line that reads is one that was written: written again, it reads the same.
func FuzzJournalLine(f *testing.F) {
	for _, e := range sampleEntries() {
		body, err := encode(e)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(body)
	}
	f.Add([]byte(`{"sum":"00000000",}`))
	f.Add([]byte(`{"sum":"`))
	f.Add([]byte(`{"contact":null}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		if bytes.HasPrefix(line, []byte("{")) {
			line = sumUp(line) // or nothing would get past the checksum
		}
		e, err := parseLine(line)
		if err != nil {
			return
		}
		again, err := e.format()
		if err != nil {
			t.Fatal(err)
		}
		e2, err := parseLine(again[:len(again)-1])
		if err != nil || !same(e, e2) {
			t.Errorf("%s reads as %+v, %v", again, e2, err)
		}
		if bytes.Count(again, []byte("\n")) != 1 {
			t.Errorf("not one line: %q", again)
		}
	})
}

// The reader of a journal counts each line once, good or bad, and finds the
// good ones between others.
func FuzzReadJournal(f *testing.F) {
	good, err := sampleEntries()[3].format()
	if err != nil {
		f.Fatal(err)
	}
	f.Add([]byte("hello\n"), []byte("torn"))
	f.Add([]byte{}, []byte("\n\n"))
	f.Fuzz(func(t *testing.T, before, after []byte) {
		text := append(append(append(bytes.Clone(before), '\n'), good...), after...)
		var lines []int
		bad, err := readJournal(bytes.NewReader(text), func(n int, _ []byte, _ entry) error {
			lines = append(lines, n)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		want := bytes.Count(text, []byte("\n"))
		if !bytes.HasSuffix(text, []byte("\n")) {
			want++ // the torn one
		}
		if len(lines)+bad != want {
			t.Errorf("%d good and %d bad lines of %d", len(lines), bad, want)
		}
		found := false
		for _, n := range lines {
			found = found || n == bytes.Count(before, []byte("\n"))+2
		}
		if !found {
			t.Errorf("the good line is missing among %v", lines)
		}
	})
}

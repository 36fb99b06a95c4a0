package storage

import (
	"bytes"
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/storage/journal"
	"skyslate/storage/table"
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
		body, err := table.Encode(e)
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
			line = journal.Line(line) // or nothing would get past the checksum
		}
		_, err := journal.Read(bytes.NewReader(line), func(_ int, _ []byte, e entry) error {
			body, err := table.Encode(e)
			if err != nil {
				t.Fatal(err)
			}
			again, lines := journal.Line(body), 0
			bad, err := journal.Read(bytes.NewReader(again), func(_ int, _ []byte, e2 entry) error {
				if lines++; !table.Same(e, e2) {
					t.Errorf("%s reads as %+v", again, e2)
				}
				return nil
			})
			if lines != 1 || bad > 0 || err != nil {
				t.Errorf("%q: %d lines and %d bad ones, %v", again, lines, bad, err)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	})
}

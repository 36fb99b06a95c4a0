package logbook_test

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"skyslate/parse"
	"skyslate/parse/adif"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

func record(pairs ...string) adif.Record {
	var rec adif.Record
	for i := 0; i < len(pairs); i += 2 {
		rec = append(rec, adif.Field{Name: pairs[i], Value: pairs[i+1]})
	}
	return rec
}

func TestContact(t *testing.T) {
	got, err := logbook.Contact(record(
		"qso_date", "20260901", "TIME_ON", "1138", "CALL", "xg1vv", "BAND", "2M", "FREQ", "145.99",
		"BAND_RX", "70cm", "MODE", "FM", "PROP_MODE", "SAT", "SAT_NAME", "OCHRE-ONE",
		"GRIDSQUARE", "jo33", "VUCC_GRIDS", "JO33,JO43", "MY_GRIDSQUARE", "not one",
		"NAME", "Zo\xeb", "QTH_INTL", "Köln", "APP_OTHER_THING", "kept", "NOTES", "",
	))
	if err != nil {
		t.Fatal(err)
	}
	want := storage.Contact{
		State: storage.Certain,
		Call:  parse.MustParseCallsign("XG1VV"), Grids: grids("JO33", "JO43"), Name: "Zoë",
		Time: time.Date(2026, 9, 1, 11, 38, 0, 0, time.UTC),
		Bird: storage.BirdRef{Name: "OCHRE-ONE", LogName: "OCHRE-ONE"}, UplinkMHz: 145.99, Mode: "FM",
		Fields: map[string]string{
			"BAND_RX": "70cm", "MY_GRIDSQUARE": "not one", "QTH": "Köln", "APP_OTHER_THING": "kept",
		},
	}
	if diff := cmp.Diff(want, got, cmpopts.EquateComparable(parse.Callsign{}, parse.Grid{}, parse.Clock{})); diff != "" {
		t.Error(diff)
	}
}

func TestContactRefuses(t *testing.T) {
	tests := []struct {
		name string
		rec  adif.Record
		want string
	}{
		{"no call", record("QSO_DATE", "20260901", "TIME_ON", "1138"), `CALL "" can't be read`},
		{"bad call", record("QSO_DATE", "20260901", "TIME_ON", "1138", "CALL", "QQ"), `CALL "QQ" can't be read`},
		{"bad date", record("QSO_DATE", "20260931", "TIME_ON", "1138", "CALL", "XG1VV"), `QSO_DATE "20260931" can't be read`},
		{"bad time", record("QSO_DATE", "20260901", "TIME_ON", "11:38", "CALL", "XG1VV"), `TIME_ON "11:38" can't be read`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := logbook.Contact(tt.rec); err == nil || err.Error() != tt.want {
				t.Errorf("error %v, want %s", err, tt.want)
			}
		})
	}
}

// An HF contact, and what a satellite contact has beyond our table, survive.
func TestImportSurvivesExport(t *testing.T) {
	in := record(
		"QSO_DATE", "20260901", "TIME_ON", "113807", "CALL", "XG1VV", "BAND", "40m", "MODE", "MFSK",
		"SUBMODE", "FT4", "PROP_MODE", "F2", "RST_SENT", "-05", "NOTES", "one\r\ntwo", "MY_RIG", "a box",
	)
	c, err := logbook.Contact(in)
	if err != nil {
		t.Fatal(err)
	}
	out, err := logbook.Record(c)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(fields(in), fields(out)); diff != "" {
		t.Error(diff)
	}
}

// A leap second counts as the second before it: the standard ends its minutes at 59
// (ADIF 3.1.7, III.A).
func TestImportOfALeapSecond(t *testing.T) {
	c, err := logbook.Contact(record("QSO_DATE", "20261231", "TIME_ON", "235960", "CALL", "XG1VV"))
	if want := time.Date(2026, 12, 31, 23, 59, 59, 0, time.UTC); err != nil || !c.Time.Equal(want) {
		t.Errorf("it is %s, %v", c.Time, err)
	}
	if _, err := logbook.Contact(record("QSO_DATE", "20261231", "TIME_ON", "123060", "CALL", "XG1VV")); err == nil {
		t.Error("a minute of 61 seconds was taken elsewhere")
	}
}

// What is written of any contact is read, by a reader that shares no code with
// the writer, as what the contact says, and imported as the same record.
func TestRandomContacts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawContact(t)
		var b bytes.Buffer
		if err := logbook.Write(&b, []storage.Contact{c}, start, "0.1"); err != nil {
			t.Fatal(err)
		}
		got, err := scan(b.String())
		if err != nil || len(got.records) != 1 {
			t.Fatalf("%v, %d records in\n%s", err, len(got.records), b.String())
		}
		checkAgainst(t, c, got.records[0])
		rec, err := logbook.Record(c)
		if err != nil {
			t.Fatal(err)
		}
		back, err := logbook.Contact(rec)
		if err != nil {
			t.Fatal(err)
		}
		again, err := logbook.Record(back)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(fields(rec), fields(again)); diff != "" {
			t.Fatalf("imported and exported again: %s", diff)
		}
	})
}

func checkAgainst(t *rapid.T, c storage.Contact, got map[string]string) {
	want := map[string]string{
		"CALL":             c.Call.String(),
		"STATION_CALLSIGN": c.OwnCall.String(),
		"QSO_DATE":         fmt.Sprintf("%04d%02d%02d", c.Time.Year(), c.Time.Month(), c.Time.Day()),
		"TIME_ON":          fmt.Sprintf("%02d%02d%02d", c.Time.Hour(), c.Time.Minute(), c.Time.Second()),
		"SAT_NAME":         "OCHRE-ONE",
		"PROP_MODE":        "SAT",
		"MODE":             c.Mode,
	}
	for name, value := range want {
		if got[name] != value {
			t.Fatalf("%s is %q, want %q", name, got[name], value)
		}
	}
	for _, side := range []struct {
		mhz        float64
		freq, band string
	}{{c.UplinkMHz, "FREQ", "BAND"}, {c.DownlinkMHz, "FREQ_RX", "BAND_RX"}} {
		var mhz float64
		if _, err := fmt.Sscan(got[side.freq], &mhz); err != nil || mhz-side.mhz > 1e-6 || side.mhz-mhz > 1e-6 {
			t.Fatalf("%s is %q, want %v", side.freq, got[side.freq], side.mhz)
		}
		if got[side.band] == "" {
			t.Fatalf("%s is missing", side.band)
		}
	}
}

func drawContact(t *rapid.T) storage.Contact {
	own := [][]parse.Grid{grids("JO62qm"), grids("JO62"), grids("JO62", "JO63"), grids("JO62", "JO63", "JO52", "JO53")}
	seconds := rapid.Int64Range(0, 400_000_000).Draw(t, "seconds")
	return contact(func(c *storage.Contact) {
		c.Call = parse.MustParseCallsign(rapid.SampledFrom([]string{"XG1VV", "W4Z/P", "VJ2FQXZ", "OX9QZT/4"}).Draw(t, "call"))
		c.Time = start.Add(time.Duration(seconds) * time.Second)
		c.UplinkMHz = rapid.Float64Range(144, 148).Draw(t, "uplink")
		c.DownlinkMHz = rapid.Float64Range(420, 450).Draw(t, "downlink")
		c.Mode = rapid.SampledFrom([]string{"FM", "SSB", "CW"}).Draw(t, "mode")
		c.OwnGrids = rapid.SampledFrom(own).Draw(t, "own grids")
		c.Grids = rapid.SampledFrom(append(own, nil)).Draw(t, "grids")
		c.Name = rapid.String().Draw(t, "name")
		c.Note = rapid.String().Draw(t, "note")
		c.Fields = rapid.MapOf(
			rapid.SampledFrom([]string{"QTH", "NOTES", "APP_OTHER_X", "MY_RIG", "CALL"}),
			rapid.StringN(1, 20, -1),
		).Draw(t, "fields")
	})
}

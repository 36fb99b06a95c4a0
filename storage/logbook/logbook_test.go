package logbook_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skyslate/parse"
	"skyslate/parse/adif"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// All stations and birds are invented.
var start = time.Date(2026, 9, 1, 11, 38, 7, 890e6, time.UTC)

func contact(change func(*storage.Contact)) storage.Contact {
	c := storage.Contact{
		Operator: "local", ID: 1, Version: 1, State: storage.Certain,
		Call: parse.MustParseCallsign("xg1vv"), Grids: grids("JO33"),
		Time: start, TimeSource: storage.FromMessage,
		Pass: "20260901T113647Z-99101",
		Bird: storage.BirdRef{Name: "OCHRE-1", LogName: "OCHRE-ONE", Catalog: 99101},
		// Sums that floating point does not hit.
		UplinkMHz: 145.9 + 0.09, DownlinkMHz: 436.795, Mode: "FM",
		OwnCall: parse.MustParseCallsign("OX9QZT/P"), OwnGrids: grids("JO62qm"),
	}
	if change != nil {
		change(&c)
	}
	return c
}

func grids(list ...string) []parse.Grid {
	var gs []parse.Grid
	for _, s := range list {
		gs = append(gs, parse.MustParseGrid(s))
	}
	return gs
}

func fields(rec adif.Record) map[string]string {
	m := make(map[string]string)
	for _, f := range rec {
		m[f.Name] = f.Value
	}
	return m
}

func TestRecord(t *testing.T) {
	rec, err := logbook.Record(contact(nil))
	if err != nil {
		t.Fatal(err)
	}
	want := adif.Record{
		{Name: "QSO_DATE", Value: "20260901"},
		{Name: "TIME_ON", Value: "113807"},
		{Name: "CALL", Value: "XG1VV"},
		{Name: "STATION_CALLSIGN", Value: "OX9QZT/P"},
		{Name: "FREQ", Value: "145.990"},
		{Name: "BAND", Value: "2m"},
		{Name: "FREQ_RX", Value: "436.795"},
		{Name: "BAND_RX", Value: "70cm"},
		{Name: "MODE", Value: "FM"},
		{Name: "SAT_NAME", Value: "OCHRE-ONE"},
		{Name: "PROP_MODE", Value: "SAT"},
		{Name: "GRIDSQUARE", Value: "JO33"},
		{Name: "MY_GRIDSQUARE", Value: "JO62qm"},
		{Name: "APP_SKYSLATE_TIMESOURCE", Type: 'S', Value: "message"},
	}
	if diff := cmp.Diff(want, rec); diff != "" {
		t.Error(diff)
	}
}

func TestRecordFields(t *testing.T) {
	tests := []struct {
		name   string
		change func(*storage.Contact)
		want   map[string]string // "": left out
	}{
		{"local time in", func(c *storage.Contact) {
			c.Time = time.Date(2026, 9, 2, 1, 30, 0, 0, time.FixedZone("", 2*3600))
		}, map[string]string{"QSO_DATE": "20260901", "TIME_ON": "233000"}},
		{"on a line", func(c *storage.Contact) {
			c.Grids, c.OwnGrids = grids("JO33", "JO43"), grids("JO62ax", "JO52xx")
		}, map[string]string{
			"VUCC_GRIDS": "JO33,JO43", "GRIDSQUARE": "",
			"MY_VUCC_GRIDS": "JO62,JO52", "MY_GRIDSQUARE": "",
		}},
		{"round a corner", func(c *storage.Contact) {
			c.OwnGrids = grids("JO62", "JO63", "JO52", "JO53")
		}, map[string]string{"MY_VUCC_GRIDS": "JO62,JO63,JO52,JO53"}},
		{"no grid", func(c *storage.Contact) {
			c.State, c.Grids = storage.Incomplete, nil
		}, map[string]string{"GRIDSQUARE": "", "VUCC_GRIDS": ""}},
		{"words", func(c *storage.Contact) {
			c.Name, c.Report, c.Note = "Zoë", "59", "weak,\nthen loud"
		}, map[string]string{"NAME": "Zoe", "RST_RCVD": "59", "RST_SENT": "", "COMMENT": "weak, then loud"}},
		{"linear", func(c *storage.Contact) {
			c.Mode, c.UplinkMHz, c.DownlinkMHz = "USB", 145.9525, 29.4525
		}, map[string]string{"MODE": "SSB", "SUBMODE": "", "FREQ": "145.9525", "BAND_RX": "10m", "FREQ_RX": "29.4525"}},
		{"keyed", func(c *storage.Contact) { c.Mode = "cw" }, map[string]string{"MODE": "CW"}},
		{"frequency unknown", func(c *storage.Contact) {
			c.UplinkMHz = 0
		}, map[string]string{"FREQ": "", "BAND": "", "BAND_RX": "70cm"}},
		{"no name for logs", func(c *storage.Contact) { c.Bird.LogName = "" }, map[string]string{"SAT_NAME": "OCHRE-1"}},
		{"no bird", func(c *storage.Contact) { c.Bird = storage.BirdRef{} }, map[string]string{"SAT_NAME": "", "PROP_MODE": ""}},
		{"imported fields", func(c *storage.Contact) {
			c.Fields = map[string]string{
				"CALL": "XG1VX", "QTH": "Nowhere", "NAME_INTL": "Зоя", "RST_SENT": "57", "A:B": "x",
			}
		}, map[string]string{"CALL": "XG1VV", "QTH": "Nowhere", "NAME_INTL": "", "RST_SENT": "57", "A:B": ""}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			rec, err := logbook.Record(contact(tt.change))
			if err != nil {
				t.Fatal(err)
			}
			for name, want := range tt.want {
				if got, _ := rec.Get(name); got != want {
					t.Errorf("%s is %q, want %q", name, got, want)
				}
			}
		})
	}
}

func TestRecordRefuses(t *testing.T) {
	tests := []struct {
		name   string
		change func(*storage.Contact)
		want   string
	}{
		{"no call", func(c *storage.Contact) { c.Call = parse.Callsign{} }, "no call"},
		{"no time", func(c *storage.Contact) { c.Time = time.Time{} }, "no time"},
		{"three grids", func(c *storage.Contact) { c.Grids = grids("JO62", "JO63", "JO52") }, "JO62-JO63-JO52"},
		{"grids far apart", func(c *storage.Contact) { c.OwnGrids = grids("JO62", "JO43") }, "JO62-JO43"},
		{"a year out of range", func(c *storage.Contact) { c.Time = c.Time.AddDate(-200, 0, 0) }, "QSO_DATE"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := logbook.Record(contact(tt.change))
			if err == nil || !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), "contact 1") {
				t.Errorf("error %v, want one with %q", err, tt.want)
			}
		})
	}
}

func TestWrite(t *testing.T) {
	contacts := []storage.Contact{
		contact(func(c *storage.Contact) { c.ID, c.Time = 2, start.Add(time.Minute); c.Name = "Zoë <EOR>" }),
		contact(nil),
		contact(func(c *storage.Contact) {
			c.ID, c.Call, c.State, c.Grids = 3, parse.MustParseCallsign("W4Z"), storage.Incomplete, nil
			c.Time = start.Add(24 * time.Hour)
		}),
		contact(func(c *storage.Contact) { c.ID, c.State = 4, storage.Doubtful }),
		contact(func(c *storage.Contact) { c.ID, c.State = 5, storage.Dropped }),
	}
	contacts[0].Call = parse.MustParseCallsign("VJ2FQXZ")
	var b bytes.Buffer
	created := time.Date(2026, 9, 2, 18, 0, 5, 0, time.FixedZone("", 3600))
	if err := logbook.Write(&b, contacts, created, "0.1"); err != nil {
		t.Fatal(err)
	}
	got, err := scan(b.String())
	if err != nil {
		t.Fatalf("%v in\n%s", err, b.String())
	}
	header := map[string]string{
		"ADIF_VER": "3.1.7", "CREATED_TIMESTAMP": "20260902 170005", "PROGRAMID": "SKYSLATE", "PROGRAMVERSION": "0.1",
	}
	if diff := cmp.Diff(header, got.header); diff != "" {
		t.Error(diff)
	}
	var calls []string
	for _, rec := range got.records {
		calls = append(calls, rec["CALL"])
	}
	if diff := cmp.Diff([]string{"XG1VV", "VJ2FQXZ", "W4Z"}, calls); diff != "" {
		t.Error(diff)
	}
	if name := got.records[1]["NAME"]; name != "Zoe <EOR>" {
		t.Errorf("name %q", name)
	}
	if first, _, _ := strings.Cut(b.String(), "\r\n"); first != "Log of OX9QZT/P: 3 contacts, 2026-09-01 to 2026-09-02 UTC" {
		t.Errorf("the file begins with %q", first)
	}
}

func TestWriteNothing(t *testing.T) {
	var b bytes.Buffer
	only := []storage.Contact{contact(func(c *storage.Contact) { c.State = storage.Doubtful })}
	for _, contacts := range [][]storage.Contact{nil, only} {
		if err := logbook.Write(&b, contacts, start, "0.1"); !errors.Is(err, logbook.ErrEmpty) || b.Len() != 0 {
			t.Errorf("error %v, %d bytes", err, b.Len())
		}
	}
}

func TestEntries(t *testing.T) {
	at := func(id uint64, minute int, call string, gs ...string) storage.Contact {
		return contact(func(c *storage.Contact) {
			c.ID, c.Time = id, start.Add(time.Duration(minute)*time.Minute)
			c.Call, c.Grids = parse.MustParseCallsign(call), grids(gs...)
			if len(gs) == 0 {
				c.State = storage.Incomplete
			}
		})
	}
	otherPass := at(4, 95, "XG1VV", "JO33")
	otherPass.Pass = "20260901T131255Z-99101"
	noPass := at(5, 96, "XG1VV", "JO33")
	noPass.Pass = ""
	noPassAgain := noPass
	noPassAgain.ID = 6
	about := at(7, 0, "XG1VV", "JO33")
	about.TimeSource = storage.FromPass
	tests := []struct {
		name string
		in   []storage.Contact
		want []uint64
	}{
		{"estimate before a known time", []storage.Contact{about, at(8, 1, "XG1VV", "JO33")}, []uint64{8}},
		{"estimate of another grid", []storage.Contact{about, at(8, 1, "XG1VV", "JO34")}, []uint64{7, 8}},
		{"by time", []storage.Contact{at(1, 3, "XG1VV", "JO33"), at(2, 1, "W4Z", "EM70")}, []uint64{2, 1}},
		{"repeat", []storage.Contact{at(1, 0, "XG1VV", "JO33"), at(2, 1, "XG1VV", "JO33")}, []uint64{1}},
		{"repeat with a subsquare", []storage.Contact{at(1, 0, "XG1VV", "JO33"), at(2, 1, "XG1VV", "JO33aa")}, []uint64{1}},
		{"another grid", []storage.Contact{at(1, 0, "XG1VV", "JO33"), at(2, 1, "XG1VV", "JO34")}, []uint64{1, 2}},
		{"line in another order", []storage.Contact{at(1, 0, "XG1VV", "JO33", "JO34"), at(2, 1, "XG1VV", "JO34", "JO33")}, []uint64{1}},
		{"first without a grid", []storage.Contact{at(1, 0, "XG1VV"), at(2, 1, "XG1VV", "JO33")}, []uint64{2}},
		{"then without a grid", []storage.Contact{at(1, 0, "XG1VV", "JO33"), at(2, 1, "XG1VV")}, []uint64{1}},
		{"never a grid", []storage.Contact{at(1, 0, "XG1VV"), at(2, 1, "XG1VV")}, []uint64{1}},
		{"another mark", []storage.Contact{at(1, 0, "XG1VV", "JO33"), at(2, 1, "XG1VV/P", "JO33")}, []uint64{1, 2}},
		{"another pass", []storage.Contact{at(1, 0, "XG1VV", "JO33"), otherPass}, []uint64{1, 4}},
		{"no pass", []storage.Contact{noPass, noPassAgain}, []uint64{5, 6}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var got []uint64
			for _, c := range logbook.Entries(tt.in) {
				got = append(got, c.ID)
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestSplit(t *testing.T) {
	home := contact(nil)
	hill := contact(func(c *storage.Contact) { c.OwnGrids = grids("JO63") })
	line := contact(func(c *storage.Contact) { c.OwnGrids = grids("JO63", "JO62") })
	other := contact(func(c *storage.Contact) { c.OwnCall = parse.MustParseCallsign("OX9QZT") })
	groups := logbook.Split([]storage.Contact{home, hill, home, line, other})
	var sizes []int
	for _, g := range groups {
		sizes = append(sizes, len(g))
	}
	if diff := cmp.Diff([]int{2, 1, 1, 1}, sizes); diff != "" {
		t.Error(diff)
	}
	if got := logbook.Split(nil); got != nil {
		t.Errorf("groups of nothing: %v", got)
	}
}

func TestFileName(t *testing.T) {
	tests := []struct {
		name string
		in   []storage.Contact
		want string
	}{
		{"one pass", []storage.Contact{contact(nil)}, "OX9QZT-P_2026-09-01_1138Z_OCHRE-1_JO62qm.adi"},
		{"two passes of a day", []storage.Contact{
			contact(nil), contact(func(c *storage.Contact) { c.Pass = "20260901T131255Z-99101" }),
		}, "OX9QZT-P_2026-09-01_JO62qm.adi"},
		{"two days", []storage.Contact{
			contact(nil), contact(func(c *storage.Contact) { c.Pass, c.Time = "x", start.Add(24*time.Hour) }),
		}, "OX9QZT-P_2026-09-01_2026-09-02_JO62qm.adi"},
		{"two places", []storage.Contact{
			contact(nil), contact(func(c *storage.Contact) {
				c.Call, c.OwnGrids = parse.MustParseCallsign("W4Z"), grids("JO63", "JO62")
			}),
		}, "OX9QZT-P_2026-09-01_1138Z_OCHRE-1_mixed.adi"},
		{"on a line", []storage.Contact{
			contact(func(c *storage.Contact) { c.OwnGrids, c.Bird.Name = grids("JO63", "JO62"), "Ö 1/2" }),
		}, "OX9QZT-P_2026-09-01_1138Z_--1-2_JO63-JO62.adi"},
		{"nothing", nil, "nothing.adi"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := logbook.FileName(tt.in); got != tt.want {
				t.Errorf("%q, want %q", got, tt.want)
			}
		})
	}
}

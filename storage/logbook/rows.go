package logbook

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/parse"
	"skyslate/parse/adif"
	"skyslate/storage"
)

// A row says what one ADIF field holds. get returns "" where the field is left
// out. set takes an imported value and reports whether it is all in the contact
// now; if not, the value is kept as it stands.
type row struct {
	field string
	typ   byte
	// source is where the standard (ADIF 3.1.7) or practice says so.
	source string
	get    func(storage.Contact) string
	set    func(*storage.Contact, string) bool
}

// plain is the row of a field that the standard defines, whose type need not be told.
func plain(field, source string, get func(storage.Contact) string, set func(*storage.Contact, string) bool) row {
	return row{field, 0, source, get, set}
}

// rows is the table. A row whose set looks at another field stands behind it.
var rows = []row{
	plain("QSO_DATE", "III.C.1.b; a Date, UTC (III.A)",
		func(c storage.Contact) string { return c.Time.UTC().Format(dateForm) },
		setDate),
	plain("TIME_ON", "III.C.1.b; a Time with seconds, UTC (III.A)",
		func(c storage.Contact) string { return c.Time.UTC().Format(timeForm) },
		addTime),
	plain("CALL", "III.C.1.b, the contacted station's call",
		func(c storage.Contact) string { return c.Call.String() },
		func(c *storage.Contact, v string) bool { return setCall(&c.Call, v) }),
	plain("STATION_CALLSIGN", "III.C.1.b, the call used over the air",
		func(c storage.Contact) string { return c.OwnCall.String() },
		func(c *storage.Contact, v string) bool { return setCall(&c.OwnCall, v) }),
	plain("FREQ", "III.C.1.b; own transmit, since the other pair is the receive side: the uplink",
		func(c storage.Contact) string { return megahertz(c.UplinkMHz) },
		func(c *storage.Contact, v string) bool { return setMegahertz(&c.UplinkMHz, v) }),
	plain("BAND", "III.C.1.b; the Band enumeration (III.B): of the uplink",
		func(c storage.Contact) string { return adif.BandOf(c.UplinkMHz) },
		func(c *storage.Contact, v string) bool { return strings.EqualFold(v, adif.BandOf(c.UplinkMHz)) }),
	plain("FREQ_RX", "III.C.1.b, the logging station's receive side: the downlink",
		func(c storage.Contact) string { return megahertz(c.DownlinkMHz) },
		func(c *storage.Contact, v string) bool { return setMegahertz(&c.DownlinkMHz, v) }),
	plain("BAND_RX", "III.C.1.b; the Band enumeration (III.B): of the downlink",
		func(c storage.Contact) string { return adif.BandOf(c.DownlinkMHz) },
		func(c *storage.Contact, v string) bool { return strings.EqualFold(v, adif.BandOf(c.DownlinkMHz)) }),
	plain("MODE", "III.C.1.b; the Mode enumeration (III.B), where a sideband is no mode",
		func(c storage.Contact) string { return mode(c.Mode) },
		func(c *storage.Contact, v string) bool { c.Mode = v; return true }),
	plain("SAT_NAME", "III.C.1.b; free text, so spelled as the bird list says",
		satellite,
		func(c *storage.Contact, v string) bool { c.Bird.Name, c.Bird.LogName = v, v; return true }),
	plain("PROP_MODE", "III.C.1.b; the Propagation_Mode enumeration (III.B)",
		propagation,
		func(c *storage.Contact, v string) bool { return strings.EqualFold(v, propagation(*c)) }),
	plain("GRIDSQUARE", "III.C.1.b; one locator",
		func(c storage.Contact) string { return oneGrid(c.Grids) },
		func(c *storage.Contact, v string) bool { return setGrids(&c.Grids, v, 1) }),
	plain("VUCC_GRIDS", "III.C.1.b; two or four adjacent locators",
		func(c storage.Contact) string { return severalGrids(c.Grids) },
		func(c *storage.Contact, v string) bool { return setGrids(&c.Grids, v, 2, 4) }),
	plain("MY_GRIDSQUARE", "III.C.1.b; one locator",
		func(c storage.Contact) string { return oneGrid(c.OwnGrids) },
		func(c *storage.Contact, v string) bool { return setGrids(&c.OwnGrids, v, 1) }),
	plain("MY_VUCC_GRIDS", "III.C.1.b; two or four adjacent locators",
		func(c storage.Contact) string { return severalGrids(c.OwnGrids) },
		func(c *storage.Contact, v string) bool { return setGrids(&c.OwnGrids, v, 2, 4) }),
	plain("RST_SENT", "III.C.1.b; told as the first of two, or as given (common practice, no source)",
		func(c storage.Contact) string { return c.Sent },
		func(c *storage.Contact, v string) bool { c.Sent = v; return true }),
	plain("RST_RCVD", "III.C.1.b; a lone report is the received one (common practice, no source)",
		func(c storage.Contact) string { return c.Report },
		func(c *storage.Contact, v string) bool { c.Report = v; return true }),
	plain("NAME", "III.C.1.b, the contacted operator's name",
		func(c storage.Contact) string { return c.Name },
		func(c *storage.Contact, v string) bool { c.Name = v; return true }),
	plain("COMMENT", "III.C.1.b, of one line",
		func(c storage.Contact) string { return c.Note },
		func(c *storage.Contact, v string) bool { c.Note = v; return true }),
	{
		"APP_" + ProgramID + "_TIMESOURCE", 'S', "IV.A, application-defined fields",
		func(c storage.Contact) string { return string(c.TimeSource) },
		setTimeSource,
	},
}

const (
	dateForm = "20060102"
	timeForm = "150405"
)

// megahertz gives a frequency to the hertz, with three decimals at least.
func megahertz(mhz float64) string {
	if mhz <= 0 {
		return ""
	}
	s := strconv.FormatFloat(mhz, 'f', 6, 64)
	for range 3 {
		s = strings.TrimSuffix(s, "0")
	}
	return s
}

// mode: the sides of an inverting transponder use opposite sidebands, so naming
// one would never match the other log.
func mode(m string) string {
	switch m = strings.ToUpper(m); m {
	case "USB", "LSB":
		return "SSB"
	}
	return m
}

func satellite(c storage.Contact) string { return cmp.Or(c.Bird.LogName, c.Bird.Name) }

func propagation(c storage.Contact) string {
	if satellite(c) == "" {
		return ""
	}
	return "SAT"
}

func oneGrid(grids []parse.Grid) string {
	if len(grids) == 1 {
		return grids[0].String()
	}
	return ""
}

// severalGrids lists squares: awards count those, and not every receiver takes
// the six characters that the standard allows since 3.1.5.
func severalGrids(grids []parse.Grid) string {
	if len(grids) < 2 {
		return ""
	}
	return strings.Join(named(grids, parse.Grid.Square), ",")
}

func setDate(c *storage.Contact, v string) bool {
	t, err := time.Parse(dateForm, v)
	c.Time = t
	return err == nil
}

// addTime adds a time of day to the date, which is there already.
func addTime(c *storage.Contact, v string) bool {
	if len(v) == len("1504") {
		v += "00"
	}
	if v == "235960" { // a leap second, which the standard has no place for (III.A)
		v = "235959"
	}
	t, err := time.Parse(timeForm, v)
	if err != nil {
		return false
	}
	c.Time = c.Time.Add(t.Sub(t.Truncate(24 * time.Hour)))
	return true
}

func setCall(call *parse.Callsign, v string) bool {
	parsed, err := parse.ParseCallsign(v)
	if err != nil {
		return false
	}
	*call = parsed
	return true
}

func setMegahertz(mhz *float64, v string) bool {
	f, err := strconv.ParseFloat(v, 64)
	if err != nil || !(f > 0) || math.IsInf(f, 0) {
		return false
	}
	*mhz = f
	return true
}

func setGrids(grids *[]parse.Grid, v string, counts ...int) bool {
	var list []parse.Grid
	for s := range strings.SplitSeq(v, ",") {
		g, err := parse.ParseGrid(strings.TrimSpace(s))
		if err != nil {
			return false
		}
		list = append(list, g)
	}
	if !slices.Contains(counts, len(list)) || parse.CheckGrids(list) != nil {
		return false
	}
	*grids = list
	return true
}

func setTimeSource(c *storage.Contact, v string) bool {
	known := []storage.TimeSource{storage.FromMessage, storage.FromTyped, storage.FromRecording, storage.FromPass}
	if !slices.Contains(known, storage.TimeSource(v)) {
		return false
	}
	c.TimeSource = storage.TimeSource(v)
	return true
}

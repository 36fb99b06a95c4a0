package outing

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/predict/predicttest"
	"skyslate/storage"
)

// sunday is when the words of these tests are read, in a zone two hours ahead of UTC.
var sunday = time.Date(2027, 5, 23, 22, 30, 0, 0, time.UTC)

func TestRead(t *testing.T) {
	own := sky.New(predicttest.Birds(), nil)
	at := []parse.Grid{parse.MustParseGrid("JO33")}
	op := storage.Operator{
		Place: storage.Place{Grids: at, LatDeg: 53.5, LonDeg: 7, Zone: "Europe/Berlin"}, Remind: storage.DefaultRemind(),
		Wanted: []parse.Grid{parse.MustParseGrid("KO24")},
	}
	// Hours are local: UTC+2 for Berlin in May, UTC for Reykjavík (tz database).
	for _, c := range []struct {
		text, place, from, until, birds, wanted string
		peakDeg                                 float64
		refused                                 string
	}{
		{text: "JO62 29 May 9-15", place: "JO62", from: "2027-05-29T07:00", until: "2027-05-29T13:00", wanted: "KO24"},
		{
			text: "on May 29. at JO62+JO72 9:30-15 OCHRE-1 above 20", place: "JO62 JO72",
			from: "2027-05-29T07:30", until: "2027-05-29T13:00", birds: "OCHRE-1", wanted: "KO24", peakDeg: 20,
		},
		{text: "JO62 JO72 sat 9-15", place: "JO62 JO72", from: "2027-05-29T07:00", until: "2027-05-29T13:00", wanted: "KO24"},
		{text: "JO62 and JO73 tomorrow 9-15", refused: "JO62 JO73"},
		{text: "JO62 KO34 tomorrow 9-15", place: "JO62", from: "2027-05-25T07:00", until: "2027-05-25T13:00", wanted: "KO34"},
		{
			text: "here today 22-2 ochre2 wanted JO43ab JO44", place: "JO33",
			from: "2027-05-24T20:00", until: "2027-05-25T00:00", birds: "OCHRE-2", wanted: "JO43 JO44",
		},
		{text: "IP73 2027-05-29 9-15 15°", place: "IP73", from: "2027-05-29T09:00", until: "2027-05-29T15:00", wanted: "KO24", peakDeg: 15},
		{text: "IP73 tomorrow 9 to 1", place: "IP73", from: "2027-05-25T09:00", until: "2027-05-25T13:00", wanted: "KO24"},
		{text: "IP73 tomorrow from 9 till 13", place: "IP73", from: "2027-05-25T09:00", until: "2027-05-25T13:00", wanted: "KO24"},
		{text: "IP73 29 may 9:30 until 15:00, above 20", place: "IP73", from: "2027-05-29T09:30", until: "2027-05-29T15:00", wanted: "KO24", peakDeg: 20},
		{text: "IP73 tomorrow 9 am - 1 PM", place: "IP73", from: "2027-05-25T09:00", until: "2027-05-25T13:00", wanted: "KO24"},
		{text: "IP73 tomorrow 10pm-2am", place: "IP73", from: "2027-05-25T22:00", until: "2027-05-26T02:00", wanted: "KO24"},
		{text: "IP73 tomorrow 10-2", place: "IP73", from: "2027-05-25T10:00", until: "2027-05-25T14:00", wanted: "KO24"},
		{text: "IP73 tomorrow 20 to 2", place: "IP73", from: "2027-05-25T20:00", until: "2027-05-26T02:00", wanted: "KO24"},
		{text: "IP73 tomorrow 2-6pm", place: "IP73", from: "2027-05-25T14:00", until: "2027-05-25T18:00", wanted: "KO24"},
		{text: "IP73 tomorrow 10am-2", place: "IP73", from: "2027-05-25T10:00", until: "2027-05-25T14:00", wanted: "KO24"},
		{text: "IP73 tomorrow 9h-15h", place: "IP73", from: "2027-05-25T09:00", until: "2027-05-25T15:00", wanted: "KO24"},
		{text: "IP73 tomorrow morning", place: "IP73", from: "2027-05-25T06:00", until: "2027-05-25T12:00", wanted: "KO24"},
		{text: "IP73 sat afternoon", place: "IP73", from: "2027-05-29T12:00", until: "2027-05-29T18:00", wanted: "KO24"},
		{text: "IP73 tomorrow after 14", place: "IP73", from: "2027-05-25T14:00", until: "2027-05-25T22:00", wanted: "KO24"},
		{text: "IP73 tomorrow until noon", place: "IP73", from: "2027-05-25T08:00", until: "2027-05-25T12:00", wanted: "KO24"},
		{text: "IP73 tomorrow after 9 until 12", place: "IP73", from: "2027-05-25T09:00", until: "2027-05-25T12:00", wanted: "KO24"},
		{text: "IP73 tomorrow all day", place: "IP73", from: "2027-05-25T08:00", until: "2027-05-25T22:00", wanted: "KO24"},
		{text: "IP73 5/29 9-15", place: "IP73", from: "2027-05-29T09:00", until: "2027-05-29T15:00", wanted: "KO24"},
		{text: "IP73 sat 29 may 9-15", place: "IP73", from: "2027-05-29T09:00", until: "2027-05-29T15:00", wanted: "KO24"},
		{text: "IP71 9-11 and IP61 12-15 tomorrow", refused: "“12-15” makes it"},
		{text: "IP71+IP61 tomorrow 9-11 13-15", refused: "“13-15” makes it"},
		{text: "IP71 tomorrow and wednesday 9-12", refused: "“wednesday” makes it"},
		{text: "IP71 tomorrow morning and evening", refused: "makes it"},
		{text: "IP71 tomorrow 9-12 after 14", refused: "makes it"},
		{text: "IP73 29 may 14", refused: "14"},
		{text: "tomorrow 9-15", refused: "Where to?"},
		{text: "JO62 9-15", refused: "Which day?"},
		{text: "JO62 31 feb 9-15", refused: "Which day?"},
		{text: "JO62 tomorrow 9-15 above", refused: "Above how many"},
		{text: "JO62 tomorrow 9-15 above 90", refused: "Above how many"},
		{text: "JO62 tomorrow 9-15 nonesuch", refused: "nonesuch"},
		{text: "JO62 tomorrow 9-25", refused: "9-25"},
		{text: "JO62 2027-06-22 9-15", refused: "is not within"},
		{text: "JO62 2027-05-23 9-15", refused: "is not within"},
	} {
		o, err := Read(c.text, own, op, sunday)
		if c.refused != "" {
			if err == nil || !strings.Contains(err.Error(), c.refused) {
				t.Errorf("%q: error %v, want one with %q", c.text, err, c.refused)
			} else if layout.Fit(err.Error()) != err.Error() {
				t.Errorf("%q: too wide or too long:\n%v", c.text, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if c.birds == "" {
			c.birds = strings.Join(own.Followed(op.Remind), " ")
		}
		const minute = "2006-01-02T15:04"
		got := []string{phrase.Grids(o.Place.Grids), o.From.Format(minute), o.Until.Format(minute), strings.Join(o.Birds, " "), phrase.Grids(o.Wanted)}
		for i, want := range []string{c.place, c.from, c.until, c.birds, c.wanted} {
			if got[i] != want {
				t.Errorf("%q: %s, want %s", c.text, got[i], want)
			}
		}
		if o.PeakDeg != c.peakDeg {
			t.Errorf("%q: above %g°, want %g°", c.text, o.PeakDeg, c.peakDeg)
		}
	}
}

// Hours that leave out a half of the day.
func TestSpans(t *testing.T) {
	for text, want := range map[string]string{
		"9-15": "09:00-15:00", "2-6pm": "14:00-18:00", "10am-2": "10:00-14:00", "12:30-2": "12:30-14:00", "12-3pm": "12:00-15:00",
		"9-1pm": "09:00-13:00", "11-1am": "23:00-01:00", "10pm-2": "22:00-02:00", "2-6": "14:00-18:00", "10-2": "10:00-14:00",
		"5-9": "05:00-09:00", "2:30-9": "02:30-09:00", "4-10": "04:00-10:00", "4-8": "16:00-20:00", "9-9": "09:00-21:00", "11-12": "11:00-12:00", "12-1": "12:00-13:00", "8-12": "08:00-12:00",
		"8am-12am": "08:00-00:00", "9am-12pm": "09:00-12:00", "12am-6": "00:00-06:00", "13-2pm": "13:00-14:00", "9-5pm": "09:00-17:00",
		// Who writes hours of 24 means them so.
		"02-06": "02:00-06:00", "09-01": "09:00-13:00", "0-6": "00:00-06:00", "20-2": "20:00-02:00", "20-11": "20:00-11:00",
		"7-13": "07:00-13:00", "0-24": "00:00-24:00", "9-24": "09:00-24:00", "0-6am": "00:00-06:00",
		"9-25": "", "24-3": "", "25pm-3": "",
	} {
		var r reader
		got := ""
		if r.takeSpan(text) {
			got = fmt.Sprintf("%02d:%02d-%02d:%02d", r.from/60, r.from%60, r.to/60, r.to%60)
		}
		if got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

// A line in any words that has a grid and a day to come, and no call, tells of a day out; one of
// what was, of another station or with an answer of its own doesn't.
func TestSaidToCome(t *testing.T) {
	for line, want := range map[string]string{
		"on saturday i'll be in gg02 all day":            "gg02 saturday",
		"saturday picnic in gg02, what passes are there": "gg02 saturday",
		"this saturday gg02 9-18":                        "gg02 saturday 9-18",
		"Ausflug Samstag gg02":                           "gg02 Samstag",
		"salida el sábado a gg02":                        "gg02 sábado",
		"sat gg02 9-18":                                  "",
		"tomorrow gg02":                                  "gg02 tomorrow",
		"i'm going to gg02 on saturday with a friend, what can we work": "gg02 saturday",
		"ox7ec gg02 saturday":            "",
		"x7?ec gg02 saturday":            "",
		"gg02 was on saturday":           "",
		"he will be in gg02 on saturday": "",
		"is gg02 workable tomorrow?":     "",
		"i'm in gg02 until saturday":     "",
		"gg02 the sun is hot":            "",
		"guten Morgen aus gg02":          "",
		"gg02 today":                     "",
		"gg02\nsaturday":                 "",
		"passes with gg02 on tuesday":    "",
	} {
		if got, told, ok := Said(line, sunday); got != want || ok != (want != "") || told != ok {
			t.Errorf("%q: %q, %v, %v; wanted %q", line, got, told, ok, want)
		}
	}
}

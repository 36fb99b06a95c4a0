// Package calendar makes a calendar file (RFC 5545) of passes: plain values in,
// bytes out. A phone's own calendar then reminds where no message gets through.
//
// Times are UTC, lines end with CR LF and are folded at 75 octets (3.1), and an
// entry keeps its UID, so that a file read in again moves entries and doubles
// none (3.8.4.7).
package calendar

import (
	"bytes"
	"fmt"
	"time"

	ics "github.com/arran4/golang-ical"
)

// An Entry is one pass. All of it is text for people but the times and the
// place.
type Entry struct {
	UID     string // the same for the same pass for good, unlike any other's
	Start   time.Time
	End     time.Time
	Summary string
	Text    string // any number of lines
	Place   string
	LatDeg  float64 // WGS 84
	LonDeg  float64
	Alarms  []time.Duration // how long before Start
}

// File makes the file; made is when, version that of this program. Entries
// without an UID or an end after their start are refused.
func File(entries []Entry, made time.Time, version string) ([]byte, error) {
	cal := ics.NewCalendar()
	cal.SetProductId("-//skyslate//" + version + "//EN")
	cal.SetMethod(ics.MethodPublish)
	for _, e := range entries {
		if e.UID == "" || !e.End.After(e.Start) {
			return nil, fmt.Errorf("calendar entry %q: from %v to %v", e.UID, e.Start, e.End)
		}
		add(cal, e, made)
	}
	var b bytes.Buffer
	err := cal.SerializeTo(&b, ics.WithNewLineWindows)
	return b.Bytes(), err
}

func add(cal *ics.Calendar, e Entry, made time.Time) {
	event := cal.AddEvent(e.UID)
	event.SetDtStampTime(made)
	event.SetStartAt(e.Start.Round(time.Second))
	event.SetEndAt(e.End.Round(time.Second))
	event.SetSummary(e.Summary)
	event.SetDescription(e.Text)
	event.SetLocation(e.Place)
	event.SetGeo(fmt.Sprintf("%.4f", e.LatDeg), fmt.Sprintf("%.4f", e.LonDeg))
	for _, ahead := range e.Alarms {
		alarm := event.AddAlarm()
		alarm.SetAction(ics.ActionDisplay)
		alarm.SetTrigger(fmt.Sprintf("-PT%.0fS", ahead.Seconds())) // RFC 5545, 3.3.6 and 3.8.6.3
		alarm.SetDescription(e.Summary)
	}
}

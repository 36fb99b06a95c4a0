// Package settings is what operators set: where they stand, how their radio is dialled, and
// what they are reminded of. The values are stored as they are here (package table says
// how they may change).
package settings

import (
	"time"

	"skyslate/parse"
	"skyslate/storage/passname"
)

// Place is where the operator stands. Grids are what is exchanged and logged;
// the coordinates (WGS 84 degrees, metres) are what passes are computed for.
type Place struct {
	Grids   []parse.Grid `json:"grids"`
	LatDeg  float64      `json:"lat_deg"`
	LonDeg  float64      `json:"lon_deg"`
	HeightM float64      `json:"height_m"`
	Zone    string       `json:"zone"` // IANA name, for display only
	Set     time.Time    `json:"set,omitzero"`
	Horizon []Hidden     `json:"horizon,omitempty"` // what hides the sky there: trees and hills
	// Confirmed is when the operator last said that it still holds, Asked when
	// they were last asked.
	Confirmed time.Time `json:"confirmed,omitzero"`
	Asked     time.Time `json:"asked,omitzero"`
}

// Hidden is a part of the horizon: from one true azimuth clockwise to another
// nothing is seen below an elevation. 0 to 360 is all round.
type Hidden struct {
	FromDeg float64 `json:"from_deg"`
	ToDeg   float64 `json:"to_deg"`
	ElDeg   float64 `json:"el_deg"`
}

// Radio is how a radio is dialled. The zero value is the common one.
type Radio struct {
	StepKHz float64 `json:"step_khz,omitempty"` // the raster of its dial; 0: 5 kHz
	Both    bool    `json:"both,omitempty"`     // the shift of the side that is not stepped is told too
}

// Remind is what an operator wants to be reminded of.
type Remind struct {
	Off     bool          `json:"off,omitempty"`
	Lead    time.Duration `json:"lead"`              // before AOS
	PeakDeg float64       `json:"peak_deg"`          // lowest peak elevation
	From    int           `json:"from"`              // first local hour, 0-23
	Until   int           `json:"until"`             // local hour it ends at, 1-24
	Week    [7]DayHours   `json:"week,omitzero"`     // by time.Weekday, what differs from that
	PerDay  int           `json:"per_day"`           // most reminders a local day
	Birds   []string      `json:"birds,omitempty"`   // names; empty: FM birds known to be on
	Picture bool          `json:"picture,omitempty"` // of the sky, with each reminder
	Evening int           `json:"evening,omitempty"` // local hour at which the next day is told, 1-23; 0: not told
}

// DayHours are the hours of a weekday: of its own, unless Until is 0, or none.
type DayHours struct {
	Off   bool `json:"off,omitempty"`
	From  int  `json:"from,omitempty"`
	Until int  `json:"until,omitempty"`
}

// Hours are the local hours of a weekday in which a pass that is told rises, from one to
// another; ok is false on a day without any. Those that end before they begin go over
// midnight, those that end where they begin are a whole day.
func (r Remind) Hours(d time.Weekday) (from, until int, ok bool) {
	switch own := r.Week[d]; {
	case own.Off:
		return 0, 0, false
	case own.Until > 0:
		return own.From, own.Until, true
	}
	return r.From, r.Until, true
}

// DefaultRemind is what a newcomer is reminded of: ten minutes ahead, FM birds
// known to be on, a peak of at least 30°, from 8 to 22 local time, at most four
// a day, and told of the next day at 20 local time.
func DefaultRemind() Remind {
	return Remind{Lead: 10 * time.Minute, PeakDeg: 30, From: 8, Until: 22, PerDay: 4, Evening: 20}
}

// OwnSide is the operator's own call and grids from a moment on.
type OwnSide struct {
	Since time.Time      `json:"since"`
	Call  parse.Callsign `json:"call"`
	Grids []parse.Grid   `json:"grids"`
	Zone  string         `json:"zone,omitempty"` // of the place, by its IANA name
}

// Outing is a day in the field that is prepared ahead: a place of its own, a span
// of time, and what is to be worked there.
type Outing struct {
	ID     int64        `json:"id"` // the message that asked for it
	Place  Place        `json:"place"`
	From   time.Time    `json:"from"`
	Until  time.Time    `json:"until"`
	Birds  []string     `json:"birds,omitempty"` // names; empty: those followed anyway
	Wanted []parse.Grid `json:"wanted,omitempty"`
	// PeakDeg is the lowest peak that was asked for; 0: none was.
	PeakDeg float64       `json:"peak_deg,omitempty"`
	Left    []passname.ID `json:"left,omitempty"` // passes that were left out before it was armed
	Armed   time.Time     `json:"armed,omitzero"` // zero: only looked at
	// Here is when the operator said that the place they have set is theirs, be
	// it the outing's or another.
	Here time.Time `json:"here,omitzero"`
	// Said stands for what its timetables say beside the times of their passes, as they
	// were handed over last; Renews is when they are sent anew, because that changed.
	Said   string    `json:"said,omitempty"`
	Renews time.Time `json:"renews,omitzero"`
}

// Holds reports whether t is in the outing's span.
func (o Outing) Holds(t time.Time) bool { return !t.Before(o.From) && t.Before(o.Until) }

package say

import (
	"math"
	"slices"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// Place is where somebody stands: what is exchanged and logged, the coordinates
// that passes are computed for, and what hides the sky.
type Place struct {
	Grids   []parse.Grid
	Site    predict.Site // WGS 84
	Horizon predict.Horizon
	Set     time.Time
}

func (p Place) name() string { return phrase.Grids(p.Grids) }

func (p Place) same(other Place) bool {
	return slices.Equal(p.Grids, other.Grids) && p.Site.LatDeg == other.Site.LatDeg && p.Site.LonDeg == other.Site.LonDeg
}

func middle(g parse.Grid) predict.Site { return Meeting([]parse.Grid{g}) }

// Meeting is the centre of one grid, or the point where several meet.
func Meeting(grids []parse.Grid) predict.Site {
	var x, y, z float64
	for _, g := range grids {
		lat, lon := g.Center()
		if len(grids) > 1 {
			lat, lon = g.Square().Center()
		}
		sinLat, cosLat := math.Sincos(lat * math.Pi / 180)
		sinLon, cosLon := math.Sincos(lon * math.Pi / 180)
		x, y, z = x+cosLat*cosLon, y+cosLat*sinLon, z+sinLat
	}
	return predict.Site{LatDeg: math.Atan2(z, math.Hypot(x, y)) * 180 / math.Pi, LonDeg: math.Atan2(y, x) * 180 / math.Pi}
}

// Radio is how a radio is dialled.
type Radio struct {
	StepKHz float64 // the raster of its dial
	Both    bool    // the shift of the side that is not stepped is told too
}

// Pass is a pass with what it takes to tell of it. Its name is the bird's when it
// was planned, AtTCA holds the peak alone; it has an AOS and a LOS, and the table
// covers it.
type Pass struct {
	predict.Pass
	Bird   predict.Bird
	Table  *predict.Ephemeris
	Place  Place
	Radio  Radio
	Wanted []parse.Grid // looked out for
	Skeds  []Sked
	Past   Past
	// Followed passes are reminded of, skipped ones were refused by hand.
	Followed, Skipped bool
}

// Past is what was worked before, of what a pass could bring: how often its skeds'
// stations were, and whether its skeds' and the wanted squares were. It tells nothing
// where its maps are nil.
type Past struct {
	Stations map[parse.Callsign]int
	Squares  map[parse.Grid]bool
}

// Look is where to point at a moment.
func (p Pass) Look(at time.Time) predict.Look { return p.Table.Look(p.Place.Site, at) }

// Clear is when the bird stands above the place's own horizon.
func (p Pass) Clear() []predict.Window { return p.Table.Clear(p.Place.Site, p.Pass, p.Place.Horizon) }

// Hidden reports whether it never does.
func (p Pass) Hidden() bool { return len(p.Place.Horizon) > 0 && len(p.Clear()) == 0 }

// With is when a grid's middle and the place see the bird at once; ok is false if never.
func (p Pass) With(g parse.Grid) (w predict.Window, ok bool) {
	for _, w := range predict.Windows(p.Table, p.Place.Site, middle(g), p.AOS, p.LOS, 0) {
		if w.Start.Before(p.LOS) && w.End.After(p.AOS) {
			return w, true
		}
	}
	return w, false
}

// Transponder is the way through the bird, or its beacon where there is no other.
func (p Pass) Transponder() predict.Transponder { return transponder(p.Bird) }

func transponder(b predict.Bird) predict.Transponder {
	if t := b.Main(); t.Kind != 0 || len(b.Transponders) == 0 {
		return t
	}
	return b.Transponders[0]
}

// way names the compass points of AOS and LOS with a word between them.
func (p Pass) way(between string) string {
	return predict.CompassPoint(p.Look(p.AOS).AzDeg) + between + predict.CompassPoint(p.Look(p.LOS).AzDeg)
}

func (p Pass) birdName() string { return p.Bird.Name }

func peak(p predict.Pass) string { return phrase.Degrees(p.AtTCA.ElDeg) }

// Sked is a contact arranged for a pass: where they were said, the moment, the
// receive frequency in MHz (0: none said) and a note; Since is when it was noted.
type Sked struct {
	Call  parse.Callsign
	Grid  parse.Grid
	At    time.Time
	MHz   float64
	Note  string
	Since time.Time
}

// State is what a contact is worth, in the word that its history shows.
type State string

// The states of a contact: logged, logged without a grid, kept and asked, noted
// but not worked, withdrawn.
const (
	Certain    State = "certain"
	Incomplete State = "incomplete"
	Doubtful   State = "doubtful"
	Heard      State = "heard"
	Dropped    State = "dropped"
)

// TimeSource says where a contact's time comes from.
type TimeSource string

// The sources of a contact's time. Any other is the message's own.
const (
	FromTyped     TimeSource = "typed"
	FromRecording TimeSource = "recording"
	FromPass      TimeSource = "pass"
)

// The doubts that package parse has no code for: which pass, a time that can't be,
// no grid left, a recording whose slate is not told, a grid that the bird didn't reach
// then, a station like it that the other phone told, words that no table knows, a
// correction of what is not in the log.
const (
	WhyPass  = "pass"
	WhyTime  = "time"
	WhyGrid  = "grid"
	WhySlate = "slate"
	WhyReach = "reach"
	WhyTwin  = "twin"
	WhyWords = "words"
	WhyNew   = "new"
)

// Contact is a contact as it is shown.
type Contact struct {
	Number  int  // on its pass, from 1; 0: it is told without
	Again   bool // the station gave the same earlier on the pass
	Agreed  bool // with the station's own log
	Call    parse.Callsign
	Grids   []parse.Grid
	Text    string // the words it was read from
	State   State
	Why     string       // why it is doubtful: a code of package parse, or one of those above
	Offered bool         // buttons offer what it could be
	Before  []parse.Grid // which it gave before on the pass, where that is asked
	// Other is the call that the other phone told, where it is asked if that is one station.
	Other parse.Callsign

	Time       time.Time
	TimeSource TimeSource
	Slate      time.Time     // of the recording that the time was counted in
	Offset     time.Duration // after the slate

	Bird, LogName string  // the bird's name, and the one in the log
	OffCard       bool    // filed under another pass than the card shows, or under none
	On            string  // the pass, where that isn't the one that is on the card now
	Corrected     bool    // shown to a line that corrected it
	Dated         bool    // on another day than it was sent
	DialMHz       float64 // as stated, 0: not
	Name, Report  string  // given by the station
	Note          string  // words told with it that no table knows
	OwnCall       parse.Callsign
	OwnGrids      []parse.Grid

	Made  time.Time // this version
	Cause string    // what made it: "typed", "edit", …
}

// ReachKm is how far the station was, 0 where that is not known.
func (c Contact) ReachKm() float64 {
	if len(c.Grids) == 0 || len(c.OwnGrids) == 0 {
		return 0
	}
	return predict.DistanceKm(Meeting(c.OwnGrids), middle(c.Grids[0]))
}

// name names a contact in a few characters.
func (c Contact) name() string {
	name := c.Call.String()
	if !c.Call.IsValid() {
		name = "“" + layout.Short(c.Text, 16) + "”"
	}
	return name + phrase.Led(" ", phrase.Grids(c.Grids))
}

func names(contacts []Contact) []string { return phrase.Each(contacts, Contact.name) }

// kept are the contacts that were not withdrawn.
func kept(contacts []Contact) []Contact {
	return lists.Filter(contacts, func(c Contact) bool { return c.State != Dropped })
}

// ofState are the contacts of a state.
func ofState(contacts []Contact, s State) []Contact {
	return lists.Filter(contacts, func(c Contact) bool { return c.State == s })
}

// Settings are what an operator set.
type Settings struct {
	Call   parse.Callsign
	Grids  []parse.Grid // of the place
	Home   []parse.Grid
	Wanted []parse.Grid
	Radio  Radio
}

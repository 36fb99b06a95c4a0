package predict

import (
	"cmp"
	_ "embed"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"
	"time"
)

// Kind is what a transponder does with what it hears.
type Kind int

// The kinds of transponder.
const (
	FM     Kind = iota + 1 // one FM channel, repeated
	Linear                 // a passband, repeated as it is
	Beacon                 // transmits only
)

var kindNames = [...]string{FM: "FM", Linear: "linear", Beacon: "beacon"}

func (k Kind) String() string {
	if k < FM || k > Beacon {
		return fmt.Sprintf("Kind(%d)", int(k))
	}
	return kindNames[k]
}

// A Bird is a satellite as its users know it.
type Bird struct {
	Name         string   // as spoken and written: "RS-44"
	LogName      string   // for the log's satellite name, which both logs must spell alike
	Aliases      []string // other names in use
	Catalog      int
	Status       Status
	Transponders []Transponder // in the order of the list, at least one
	Notes        string        // "only in sunlight"
	Source       string        // where the frequencies come from
}

// Status says whether a bird can be used, as far as somebody knew at a date.
type Status struct {
	Text   string    // "normally on"
	On     bool      // known to be on without being asked
	Date   time.Time // the first moment of the day, month or year in the list; zero if none
	Source string
}

// A Transponder is one way through a bird. Frequencies are nominal, without
// Doppler shift.
type Transponder struct {
	Kind             Kind
	UplinkMHz        float64 // centre; 0: none
	DownlinkMHz      float64 // centre; 0: none
	UplinkWidthKHz   float64 // of the passband; 0: a single channel
	DownlinkWidthKHz float64
	Inverting        bool    // the highest uplink comes down lowest
	Mode             string  // "FM", "SSB", "CW"
	ToneHz           float64 // access tone on the uplink; 0: none
	ArmToneHz        float64 // tone that switches the bird on first; 0: none
	Source           string  // where the row comes from
}

// Main is the transponder used for contacts: the first that is not a beacon.
// A bird with beacons alone has none; Kind is then 0.
func (b Bird) Main() Transponder {
	for _, t := range b.Transponders {
		if t.Kind != Beacon {
			return t
		}
	}
	return Transponder{}
}

//go:embed birds.csv
var starterList string

// StarterBirds is the list that comes with the program. Its frequencies are
// from memory: check before you transmit.
func StarterBirds() []Bird {
	birds, err := ReadBirds(strings.NewReader(starterList), "birds.csv")
	if err != nil {
		panic(err) // a test reads the same text
	}
	return birds
}

// The columns of a list of birds. The first line names those that the list
// has, in any order; the required ones must be among them.
var (
	birdColumns    = strings.Fields("bird catalog log_name alias kind mode uplink_mhz downlink_mhz way tone_hz arm_tone_hz on status status_date status_source notes source")
	requiredOfBird = strings.Fields("bird catalog kind mode uplink_mhz downlink_mhz")
)

// ReadBirds reads a list of birds: comma-separated values (RFC 4180) with a
// line of column names, one row a transponder, and comment lines that begin
// with #. The file birds.csv of this package explains the columns. The first
// mistake ends it, with an *InputError; other errors are the reader's own, or
// that the text is too long.
func ReadBirds(r io.Reader, file string) ([]Bird, error) {
	in, err := readInput(r, file)
	if err != nil {
		return nil, err
	}
	var columns []string
	var birds []Bird
	for fields := range in.rows(false) {
		switch {
		case in.bad != nil: // a broken row
		case columns == nil:
			columns = in.birdHeader(fields)
		default:
			birds = in.birdRow(birds, in.record(columns, fields))
		}
		if in.bad != nil {
			return nil, in.bad
		}
	}
	if columns == nil {
		return nil, &InputError{in.file, 1, 1, "nothing", "a line of column names"}
	}
	return birds, nil
}

// birdHeader reads the names of the columns.
func (in *input) birdHeader(fields []token) (columns []string) {
	for _, t := range fields {
		if !slices.Contains(birdColumns, t.text) || slices.Contains(columns, t.text) {
			in.wrong(t, "each column once, of: %s", strings.Join(birdColumns, ", "))
		}
		columns = append(columns, t.text)
	}
	for _, name := range requiredOfBird {
		if !slices.Contains(columns, name) {
			in.wrong(token{"", fields[0].line, fields[0].column}, "a column named %s", name)
		}
	}
	return columns
}

// birdRow adds a row to the birds: to the last one if it has the same name.
func (in *input) birdRow(birds []Bird, r map[string]token) []Bird {
	transponder := in.transponder(r)
	text := func(column string) string { return cleanName(r[column].text) }
	name := text("bird")
	if name == "" {
		in.wrong(r["bird"], "the name of a bird")
	}
	if n := len(birds); n > 0 && birds[n-1].Name == name {
		b := &birds[n-1]
		if t := r["catalog"]; t.text != "" && t.text != fmt.Sprint(b.Catalog) {
			in.wrong(t, "%d, as in the row before", b.Catalog)
		}
		b.Transponders = append(b.Transponders, transponder)
		return birds
	}
	for _, b := range birds {
		if strings.EqualFold(b.Name, name) {
			in.wrong(r["bird"], "the rows of %s together", b.Name)
		}
	}
	b := Bird{
		Name: name, LogName: cmp.Or(text("log_name"), name),
		Catalog:      in.integer(r["catalog"], "catalog number", 1, maxCatalog),
		Transponders: []Transponder{transponder}, Notes: text("notes"), Source: text("source"),
		Status: Status{
			Text: text("status"), Source: text("status_source"),
			On: in.choice(r["on"], "yes", "no"), Date: in.day(r["status_date"]),
		},
	}
	for alias := range strings.SplitSeq(r["alias"].text, ";") {
		if alias = cleanName(alias); alias != "" {
			b.Aliases = append(b.Aliases, alias)
		}
	}
	return append(birds, b)
}

// choice is true for yes, false for no or nothing.
func (in *input) choice(t token, yes, no string) bool {
	if t.text != yes && t.text != no && t.text != "" {
		in.wrong(t, "%s, %s or nothing", yes, no)
	}
	return t.text == yes
}

// day reads a year, a month or a day.
func (in *input) day(t token) time.Time {
	if t.text == "" {
		return time.Time{}
	}
	for _, layout := range []string{"2006", "2006-01", time.DateOnly} {
		if at, err := time.Parse(layout, t.text); err == nil {
			return at
		}
	}
	in.wrong(t, "a date: YYYY, YYYY-MM or YYYY-MM-DD")
	return time.Time{}
}

var modeName = regexp.MustCompile(`^[A-Z0-9]{2,10}$`)

func (in *input) transponder(r map[string]token) (t Transponder) {
	if t.Kind = Kind(slices.Index(kindNames[:], r["kind"].text)); t.Kind < FM {
		in.wrong(r["kind"], "FM, linear or beacon")
	}
	if t.Mode = r["mode"].text; !modeName.MatchString(t.Mode) {
		in.wrong(r["mode"], "a mode in capitals, as FM, SSB or CW")
	}
	t.UplinkMHz, t.UplinkWidthKHz = in.band(r["uplink_mhz"], t.Kind)
	t.DownlinkMHz, t.DownlinkWidthKHz = in.band(r["downlink_mhz"], t.Kind)
	switch {
	case t.Kind == Beacon && t.UplinkMHz != 0:
		in.wrong(r["uplink_mhz"], "nothing: a beacon only transmits")
	case t.Kind != Beacon && t.UplinkMHz == 0:
		in.wrong(r["uplink_mhz"], "a frequency in MHz")
	case t.DownlinkMHz == 0:
		in.wrong(r["downlink_mhz"], "a frequency in MHz")
	case t.UplinkWidthKHz != t.DownlinkWidthKHz:
		in.wrong(r["downlink_mhz"], "a passband as wide as the uplink's")
	}
	t.Inverting = in.choice(r["way"], "inverting", "straight")
	tone := func(t token) float64 { // those in use are 67.0 to 254.1 Hz
		if t.text == "" {
			return 0
		}
		return in.number(t, "a tone in Hz", 60, 260)
	}
	t.ToneHz, t.ArmToneHz = tone(r["tone_hz"]), tone(r["arm_tone_hz"])
	t.Source = cleanName(r["source"].text)
	return t
}

// band reads a frequency, or the edges of a linear passband, in MHz.
func (in *input) band(t token, kind Kind) (centreMHz, widthKHz float64) {
	if t.text == "" {
		return 0, 0
	}
	i := strings.IndexByte(t.text, '-')
	if kind != Linear || i < 0 {
		return in.number(t, "a frequency in MHz", 1, 50000), 0
	}
	low := in.number(t.cut(1, i), "the lower edge in MHz", 1, 50000)
	high := in.number(t.cut(i+2, len(t.text)), "the upper edge in MHz", low, low+10)
	return math.Round((low+high)*5e5) / 1e6, tidy((high - low) * 1e3)
}

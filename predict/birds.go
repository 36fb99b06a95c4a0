package predict

import (
	"io"
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

// A Bird is a satellite as its users know it.
type Bird struct {
	Name         string   // as spoken and written: "RS-44"
	LogName      string   // for the log's SAT_NAME
	Aliases      []string // other names in use
	Catalog      int
	Status       Status
	Transponders []Transponder
	Notes        string // "only in sunlight"
	Source       string // where the frequencies come from
}

// Status says whether a bird can be used, as far as somebody knew at a date.
type Status struct {
	Text   string
	On     bool // known to be normally on
	Date   time.Time
	Source string
}

// A Transponder is one way through a bird. Frequencies are nominal, without
// Doppler shift.
type Transponder struct {
	Kind             Kind
	UplinkMHz        float64 // centre; 0: none
	DownlinkMHz      float64 // centre; 0: none
	UplinkWidthKHz   float64 // 0: a single channel
	DownlinkWidthKHz float64
	Inverting        bool
	Mode             string  // "FM", "SSB", "CW"
	ToneHz           float64 // access tone on the uplink; 0: none
	ArmToneHz        float64 // tone that switches it on first; 0: none
}

func ReadBirds(r io.Reader, file string) ([]Bird, error) { panic("soon") }
func StarterBirds() []Bird                               { return nil }

// Main is the transponder used for contacts: the first that is not a beacon.
func (b Bird) Main() Transponder {
	for _, t := range b.Transponders {
		if t.Kind != Beacon {
			return t
		}
	}
	return Transponder{}
}

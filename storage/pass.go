package storage

import (
	"time"

	"skyslate/parse"
	"skyslate/storage/passname"
)

// PassID names a pass for good: package passname.
type PassID = passname.ID

// NamePass names a pass by its AOS and the catalog number of its bird.
func NamePass(aos time.Time, catalog int) PassID { return passname.Of(aos, catalog) }

// Arming says how a pass came to be on the agenda.
type Arming string

// The states of arming. An auto pass was picked by the operator's rules, an
// armed one by hand, one of an outing with that; all are followed, and only a
// skipped one by hand is not.
const (
	ArmNone    Arming = ""
	ArmAuto    Arming = "auto"
	ArmHand    Arming = "armed"
	ArmSkipped Arming = "skipped"
	ArmOuting  Arming = "outing"
)

// Pass is one passage of one bird over one operator's place, at most a day
// long. Reminders, arming and contacts hang on its ID. Stored are those that
// something stands on; all others are worked out whenever they are shown.
type Pass struct {
	ID        PassID     `json:"id"`
	Operator  OperatorID `json:"operator"`
	Bird      BirdRef    `json:"bird"`
	AOS       time.Time  `json:"aos"`
	TCA       time.Time  `json:"tca"`
	LOS       time.Time  `json:"los"`
	PeakElDeg float64    `json:"peak_el_deg"`
	Place     Place      `json:"place"`
	Arm       Arming     `json:"arm,omitempty"`
	Decided   time.Time  `json:"decided,omitzero"` // when the one reminder for this pass was decided, sent or not
	// Void says that the pass no longer takes place as it was planned (the
	// operator moved, or the elements changed a lot).
	Void bool `json:"void,omitempty"`
	// Used says that evidence stands on the pass, or a question: it stays as it was
	// when it was first used, wherever the operator goes.
	Used   bool      `json:"used,omitempty"`
	Closed time.Time `json:"closed,omitzero"` // when the summary after LOS was decided
	// Early is when the sound well ahead was given that the first pass of an outing
	// after a pause has instead of the one at its reminder.
	Early time.Time `json:"early,omitzero"`
	// Sheet is AOS as the timetable has it that was sent ahead of an outing; zero:
	// none was.
	Sheet  time.Time `json:"sheet,omitzero"`
	Carded time.Time `json:"carded,omitzero"` // when its card went up: the post that follows the pass
	Skeds  []Sked    `json:"skeds,omitempty"` // the contacts arranged for this pass, in the order of arranging
}

// Sked is a contact arranged beforehand: a station and its grid and, where they
// were said, the moment, the receive frequency in MHz (0: none said) and a note.
type Sked struct {
	Call  parse.Callsign `json:"call"`
	Grid  parse.Grid     `json:"grid"`
	At    time.Time      `json:"at,omitzero"`
	MHz   float64        `json:"mhz,omitempty"`
	Note  string         `json:"note,omitempty"`
	Since time.Time      `json:"since"` // when it was noted
}

// Followed reports whether the operator means to work the pass.
func (p Pass) Followed() bool { return p.Arm == ArmAuto || p.Arm == ArmHand || p.Arm == ArmOuting }

// Is reports whether two passes of an operator are one, perhaps moved.
func (p Pass) Is(o Pass) bool {
	return p.Bird.Catalog == o.Bird.Catalog && p.AOS.Before(o.LOS) && p.LOS.After(o.AOS)
}

// nameSlack is how far elements move AOS while a name is in use.
const nameSlack = time.Minute

// Named reports whether a name is that of the pass, given now or when other
// elements were known.
func (p Pass) Named(id PassID) bool {
	aos, catalog, ok := id.Read()
	return p.ID == id || ok && p.Is(Pass{Bird: BirdRef{Catalog: catalog}, AOS: aos.Add(-nameSlack), LOS: aos.Add(nameSlack)})
}

// Up reports whether the bird is above the horizon at t.
func (p Pass) Up(t time.Time) bool { return !t.Before(p.AOS) && t.Before(p.LOS) }

package predict

import (
	"io"
	"time"
)

func ReadElements(r io.Reader, file string) (sets []Elements, problems []*InputError, err error) { panic("soon") }

type Site struct{ LatDeg, LonDeg, HeightM float64 }

func DistanceKm(a, b Site) float64      { return 0 }
func BearingDeg(a, b Site) float64      { return 0 }
func CompassPoint(azDeg float64) string { return "N" }

type Look struct{ AzDeg, ElDeg, RangeKm, RangeRateKmS float64 }

func (l Look) ShiftHz(mhz float64) float64 { return 0 }

type Ephemeris struct{ elements Elements }

func NewEphemeris(e Elements, from, to time.Time) (*Ephemeris, error) { panic("soon") }
func (p *Ephemeris) Elements() Elements                               { return p.elements }
func (p *Ephemeris) Span() (from, to time.Time)                       { panic("soon") }
func (p *Ephemeris) Look(s Site, at time.Time) Look                   { panic("soon") }
func (p *Ephemeris) Passes(s Site, from, to time.Time, minElDeg float64) []Pass {
	panic("soon")
}

type Pass struct {
	Name                string
	Catalog             int
	AOS, TCA, LOS       time.Time
	AtAOS, AtTCA, AtLOS Look
}
type Side int

const (
	Receive Side = iota + 1
	Transmit
)

type Step struct {
	At                  time.Time
	OffsetKHz, DialMHz float64
}

func (p *Ephemeris) Steps(s Site, pass Pass, mhz, stepKHz float64, side Side) []Step { panic("soon") }

type Light struct {
	At  time.Time
	Lit bool
}

func (p *Ephemeris) Sunlit(from, to time.Time) []Light { panic("soon") }

type Window struct {
	Name         string
	Catalog      int
	Start, End   time.Time
	AtMid, AtMidB Look
}

func Windows(p *Ephemeris, a, b Site, from, to time.Time, minElDeg float64) []Window { panic("soon") }
func (p *Ephemeris) Reaches(pass Pass, southDeg, westDeg, northDeg, eastDeg float64) bool {
	panic("soon")
}

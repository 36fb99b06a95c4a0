package main

import (
	"bufio"
	"cmp"
	"encoding/json"
	"io"
	"math"
	"time"

	"skyslate/predict"
)

// lines writes one JSON object a line.
type lines struct {
	out *bufio.Writer
	enc *json.Encoder
	err error
}

func newLines(w io.Writer) *lines {
	out := bufio.NewWriter(w)
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	return &lines{out: out, enc: enc}
}

func (l *lines) object(v any) {
	if l.err == nil {
		l.err = l.enc.Encode(v)
	}
}

func (l *lines) flush() error {
	if l.err != nil {
		return l.err
	}
	return l.out.Flush()
}

// stamp is a time as it is printed: UTC, three decimals and Z.
func stamp(t time.Time) string {
	return t.UTC().Round(time.Millisecond).Format("2006-01-02T15:04:05.000Z")
}

// passObject is a pass as a stable face: all keys always, null for what never
// happens.
type passObject struct {
	Bird       string        `json:"bird"`
	Catalog    int           `json:"catalog"`
	AOS        *string       `json:"aos"`
	TCA        *string       `json:"tca"`
	LOS        *string       `json:"los"`
	AOSAz      *float64      `json:"aos_az"`
	TCAAz      *float64      `json:"tca_az"`
	LOSAz      *float64      `json:"los_az"`
	PeakEl     *float64      `json:"peak_el"`
	AOSRangeKm *float64      `json:"aos_range_km"`
	TCARangeKm *float64      `json:"tca_range_km"`
	Sunlit     []lightObject `json:"sunlit"`
	Shift      []shiftObject `json:"shift"`
	Steps      []stepObject  `json:"steps"`
}

type lightObject struct {
	At  string `json:"at"`
	Lit bool   `json:"lit"`
}

type shiftObject struct {
	MHz   float64  `json:"mhz"`
	AOSHz *float64 `json:"aos_hz"`
	TCAHz *float64 `json:"tca_hz"`
	LOSHz *float64 `json:"los_hz"`
}

type stepObject struct {
	MHz       float64 `json:"mhz"`
	At        string  `json:"at"`
	OffsetKHz float64 `json:"offset_khz"`
	DialMHz   float64 `json:"dial_mhz"`
}

func (q passesQuery) passObject(s sighting) passObject {
	o := passObject{
		Bird: s.Name, Catalog: s.Catalog,
		AOS: known(s.AOS, stamp(s.AOS)), TCA: known(s.TCA, stamp(s.TCA)), LOS: known(s.LOS, stamp(s.LOS)),
		AOSAz:      known(s.AOS, roundedAzimuth(s.AtAOS.AzDeg)),
		TCAAz:      known(s.TCA, roundedAzimuth(s.AtTCA.AzDeg)),
		LOSAz:      known(s.LOS, roundedAzimuth(s.AtLOS.AzDeg)),
		PeakEl:     known(s.TCA, rounded(s.AtTCA.ElDeg, 4)),
		AOSRangeKm: known(s.AOS, rounded(s.AtAOS.RangeKm, 3)),
		TCARangeKm: known(s.TCA, rounded(s.AtTCA.RangeKm, 3)),
		Sunlit:     []lightObject{}, Shift: []shiftObject{}, Steps: []stepObject{},
	}
	for _, l := range s.light() {
		o.Sunlit = append(o.Sunlit, lightObject{stamp(l.At), l.Lit})
	}
	for _, mhz := range q.mhz {
		o.Shift = append(o.Shift, shiftObject{
			mhz,
			known(s.AOS, rounded(s.AtAOS.ShiftHz(mhz), 1)),
			known(s.TCA, rounded(s.AtTCA.ShiftHz(mhz), 1)),
			known(s.LOS, rounded(s.AtLOS.ShiftHz(mhz), 1)),
		})
		for _, step := range s.in.Steps(q.at.site, s.Pass, mhz, dialStepKHz, predict.Receive) {
			o.Steps = append(o.Steps, stepObject{mhz, stamp(step.At), rounded(step.OffsetKHz, 3), rounded(step.DialMHz, 6)})
		}
	}
	return o
}

// light is whether the bird is lit, from AOS to LOS, or as far as the window
// reaches where there is none.
func (s sighting) light() []predict.Light {
	return s.in.Sunlit(cmp.Or(s.AOS, s.in.from), cmp.Or(s.LOS, s.in.to))
}

// windowObject is a common window as a stable face.
type windowObject struct {
	Bird    string  `json:"bird"`
	Catalog int     `json:"catalog"`
	Start   string  `json:"start"`
	End     string  `json:"end"`
	Seconds float64 `json:"seconds"`
	Az      float64 `json:"az"`
	El      float64 `json:"el"`
	WithAz  float64 `json:"with_az"`
	WithEl  float64 `json:"with_el"`
}

func windowObjectOf(w predict.Window) windowObject {
	return windowObject{
		Bird: w.Name, Catalog: w.Catalog, Start: stamp(w.Start), End: stamp(w.End),
		Seconds: rounded(w.End.Sub(w.Start).Seconds(), 3),
		Az:      roundedAzimuth(w.AtMid.AzDeg), El: rounded(w.AtMid.ElDeg, 4),
		WithAz: roundedAzimuth(w.WithMid.AzDeg), WithEl: rounded(w.WithMid.ElDeg, 4),
	}
}

// known returns a value of the moment t, or nil if there is no such moment.
func known[T any](t time.Time, v T) *T {
	if t.IsZero() {
		return nil
	}
	return &v
}

func roundedAzimuth(deg float64) float64 {
	return math.Mod(rounded(deg, 3), 360) // 359.9996 is north
}

// rounded gives v to some decimals, and never a negative zero.
func rounded(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(v*scale)/scale + 0
}

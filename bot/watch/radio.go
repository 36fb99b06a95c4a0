package watch

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/predict"
)

// mostMemories is how many rows a plan for the radio's memories has: a handful.
const mostMemories = 7

// ShowMemories gives the pairs to store in the radio for a pass.
func (p Answerer) ShowMemories(rest string) {
	if _, view, ok := p.passAsked(rest, anyBird, say.NoPassKnown); ok {
		p.sayMemories(view)
	}
}

func (p Answerer) sayMemories(view say.Pass) {
	if view.Transponder().Kind != predict.FM {
		p.Say(say.NoMemories(view.Bird.Name))
		return
	}
	rows := view.Table.MemoryPlan(view.Place.Site, view.Pass, view.Transponder(), view.Radio.StepKHz, mostMemories)
	p.Say(say.Memories(view, rows))
}

// ShowDial gives for a receive dial on a linear bird the transmit dial and both
// corrections, along the pass: "/dial", "/dial 435.650", "/dial 435.650 BIRD".
func (p Answerer) ShowDial(rest string) {
	var mhz float64
	words := strings.Fields(rest)
	words = slices.DeleteFunc(words, func(w string) bool {
		v, err := strconv.ParseFloat(strings.ReplaceAll(w, ",", "."), 64)
		if err == nil && mhz == 0 && strings.ContainsAny(w, ".,") {
			mhz = v
			return true
		}
		return false
	})
	named := strings.Join(words, " ")
	pass, view, ok := p.passAsked(named, isLinear, say.NoLinear(named))
	if !ok {
		return
	}
	at := p.Now()
	if !pass.Up(at) {
		at = pass.TCA
	}
	side := predict.Receive
	if mhz != 0 {
		_, side, ok = view.Transponder().Stated(strconv.FormatFloat(mhz, 'f', 6, 64))
		if !ok {
			p.Say(say.OffBand(view.Bird, mhz))
			return
		}
	}
	p.Say(say.Dials(view, onSpot(view, at, mhz, side), p.Now()))
}

// onSpot is the transponder as seen from one spot of its passband: the one that
// a dial frequency means at a moment, 0 its middle.
func onSpot(view say.Pass, at time.Time, mhz float64, side predict.Side) predict.Transponder {
	t := view.Transponder()
	tuning := view.Table.Tune(view.Place.Site, at, t, mhz, side)
	t.DownlinkMHz = tuning.DownlinkMHz - tuning.DownlinkHz/1e6
	t.UplinkMHz = tuning.UplinkMHz - tuning.UplinkHz/1e6
	return t
}

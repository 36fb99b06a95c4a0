package watch

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/predict"
	"skyslate/storage"
)

// rasters are the steps that radios have, in kHz.
var rasters = []float64{1, 2.5, 5, 6.25, 10, 12.5}

// SetRadio shows or changes how the operator's radio is dialled: "step 12.5",
// "2m on", "2m off".
func (p Answerer) SetRadio(rest string) {
	words := strings.Fields(strings.ToLower(rest))
	r := p.Op.Radio
	switch {
	case len(words) == 0:
	case len(words) == 2 && words[0] == "step":
		step, err := strconv.ParseFloat(strings.TrimSuffix(words[1], "khz"), 64)
		if err != nil || !slices.Contains(rasters, step) {
			p.Say(say.BadStep(words[1]))
			return
		}
		if r.StepKHz = step; step == shown.RasterKHz {
			r.StepKHz = 0
		}
	case len(words) == 2 && words[0] == "2m" && (words[1] == "on" || words[1] == "off"):
		r.Both = words[1] == "on"
	default:
		p.Say(say.RadioHow)
		return
	}
	p.Op.Radio = r
	p.Say(say.RadioSet(shown.Radio(r)))
}

// selectPass finds the pass that a question about a pass is about: the one chosen, the
// one up that is followed, the next one followed, the next one that doesn't graze,
// any. Of a bird named it is the one that is up, or the next that is followed or
// doesn't graze, or any. Only those that fit count.
func (p Answerer) selectPass(bird string, fits func(predict.Bird) bool) (storage.Pass, say.Pass, bool) {
	now := p.Now()
	if p.Ready() && len(p.Ahead()) == 0 {
		p.Replan()
	}
	ahead := tx.Filter(p.Ahead(), func(pass storage.Pass) bool {
		b, ok := p.Sky.ByCatalog(pass.Bird.Catalog)
		return ok && fits(b)
	})
	choices := []func(storage.Pass) bool{
		func(pass storage.Pass) bool { return pass.ID == p.Op.Chosen && pass.AOS.Sub(now) <= contact.LookAhead },
		func(pass storage.Pass) bool { return pass.Followed() && pass.Up(now) },
		storage.Pass.Followed,
		p.listed,
		func(pass storage.Pass) bool { return pass.PeakElDeg >= grazingDeg },
		func(storage.Pass) bool { return true },
	}
	if bird != "" {
		named, _ := p.Sky.Bird(bird)
		ahead = tx.Filter(ahead, func(pass storage.Pass) bool { return pass.Bird.Catalog == named.Catalog })
		choices = []func(storage.Pass) bool{
			func(pass storage.Pass) bool { return pass.Up(now) }, worthwhile, func(storage.Pass) bool { return true },
		}
	}
	for _, choice := range choices {
		for _, pass := range tx.Filter(ahead, choice) {
			if view, ok := p.PassView(pass); ok {
				return pass, view, true
			}
		}
	}
	return storage.Pass{}, say.Pass{}, false
}

// worthwhile reports whether a pass is followed or doesn't graze.
func worthwhile(pass storage.Pass) bool { return pass.Followed() || pass.PeakElDeg >= grazingDeg }

func anyBird(predict.Bird) bool { return true }

func isLinear(b predict.Bird) bool { return b.Main().Kind == predict.Linear }

// mostMemories is how many rows a plan for the radio's memories has: a handful.
const mostMemories = 7

// ShowMemories gives the pairs to store in the radio for a pass.
func (p Answerer) ShowMemories(bird string) {
	if !p.KnownBird(bird) {
		return
	}
	_, view, ok := p.selectPass(bird, anyBird)
	switch {
	case !ok:
		p.Say(say.NoPassKnown)
	case view.Transponder().Kind != predict.FM:
		p.Say(say.NoMemories(view.Bird.Name))
	default:
		rows := view.Table.MemoryPlan(view.Place.Site, view.Pass, view.Transponder(), view.Radio.StepKHz, mostMemories)
		p.Say(say.Memories(view, rows))
	}
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
	bird := strings.Join(words, " ")
	if !p.KnownBird(bird) {
		return
	}
	pass, view, ok := p.selectPass(bird, isLinear)
	if !ok {
		p.Say(say.NoLinear(bird))
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

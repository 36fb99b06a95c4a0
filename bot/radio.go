package bot

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/predict"
	"skyslate/storage"
)

// setRadio shows or changes how the operator's radio is dialled: "step 12.5",
// "2m on", "2m off".
func (p *plan) setRadio(rest string) {
	words := strings.Fields(strings.ToLower(rest))
	r := p.op.Radio
	switch {
	case len(words) == 0:
	case len(words) == 2 && words[0] == "step":
		step, err := strconv.ParseFloat(strings.TrimSuffix(words[1], "khz"), 64)
		if err != nil || !slices.Contains(rasters, step) {
			p.say(badStepText(words[1]))
			return
		}
		if r.StepKHz = step; step == rasterKHz {
			r.StepKHz = 0
		}
	case len(words) == 2 && words[0] == "2m" && (words[1] == "on" || words[1] == "off"):
		r.Both = words[1] == "on"
	default:
		p.say(textRadioUsage)
		return
	}
	p.op.Radio = r
	p.say(radioText(r))
}

// meant finds the pass that a question about a pass is about: the one chosen, the
// one up that is followed, the next one followed, the next one that doesn't graze,
// any. Of a bird named it is the one that is up, or the next that is followed or
// doesn't graze, or any. Only those that fit count.
func (p *plan) meant(bird string, fits func(predict.Bird) bool) (passing, bool) {
	now := p.now()
	if p.ready() && len(p.passesIn(now, now.Add(planDays*day))) == 0 {
		p.replan()
	}
	ahead := only(p.passesIn(now, now.Add(planDays*day)), func(pass storage.Pass) bool {
		b, ok := p.sky.ByCatalog(pass.Bird.Catalog)
		return ok && fits(b) && pass.LOS.After(now)
	})
	choices := []func(storage.Pass) bool{
		func(pass storage.Pass) bool { return pass.ID == p.op.Chosen && pass.AOS.Sub(now) <= contact.LookAhead },
		func(pass storage.Pass) bool { return pass.Followed() && pass.Up(now) },
		storage.Pass.Followed,
		p.listed,
		func(pass storage.Pass) bool { return pass.PeakElDeg >= grazingDeg },
		func(storage.Pass) bool { return true },
	}
	if bird != "" {
		named, _ := p.sky.Bird(bird)
		ahead = only(ahead, func(pass storage.Pass) bool { return pass.Bird.Catalog == named.Catalog })
		choices = []func(storage.Pass) bool{
			func(pass storage.Pass) bool { return pass.Up(now) }, worthwhile, func(storage.Pass) bool { return true },
		}
	}
	for _, choice := range choices {
		for _, pass := range only(ahead, choice) {
			if one, ok := p.telling(pass); ok {
				return one, true
			}
		}
	}
	return passing{}, false
}

// worthwhile reports whether a pass is followed or doesn't graze.
func worthwhile(pass storage.Pass) bool { return pass.Followed() || pass.PeakElDeg >= grazingDeg }

func anyBird(predict.Bird) bool { return true }

func isLinear(b predict.Bird) bool { return b.Main().Kind == predict.Linear }

// knownBird reports whether a name typed is a bird's, and says so if it isn't.
// No name is one too.
func (p *plan) knownBird(name string) bool {
	if name == "" {
		return true
	}
	if _, ok := p.sky.Bird(name); !ok {
		p.say(unknownBirdText(name, p.sky))
		return false
	}
	return true
}

// setUpFirst asks what is missing and reports whether something was.
func (p *plan) setUpFirst() bool {
	if p.ready() {
		return false
	}
	p.ask()
	return true
}

// mostMemories is how many rows a plan for the radio's memories has: a handful.
const mostMemories = 7

// showMemories gives the pairs to store in the radio for a pass.
func (p *plan) showMemories(bird string) {
	if p.setUpFirst() || !p.knownBird(bird) {
		return
	}
	one, ok := p.meant(bird, anyBird)
	switch {
	case !ok:
		p.say(textNoneAhead)
	case one.radio().Kind != predict.FM:
		p.say(noMemoriesText(one.bird))
	default:
		rows := one.table.MemoryPlan(siteOf(one.pass.Place), one.predicted(), one.radio(), rasterOf(one.rig), mostMemories)
		p.say(memoriesText(one, rows))
	}
}

// showDial gives for a receive dial on a linear bird the transmit dial and both
// corrections, along the pass: "/dial", "/dial 435.650", "/dial 435.650 BIRD".
func (p *plan) showDial(rest string) {
	if p.setUpFirst() {
		return
	}
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
	if !p.knownBird(bird) {
		return
	}
	one, ok := p.meant(bird, isLinear)
	if !ok {
		p.say(noLinearText(bird))
		return
	}
	at := p.now()
	if !one.pass.Up(at) {
		at = one.pass.TCA
	}
	side := predict.Receive
	if mhz != 0 {
		_, side, ok = one.radio().Stated(strconv.FormatFloat(mhz, 'f', 6, 64))
		if !ok {
			p.say(offBandText(one.bird, mhz))
			return
		}
	}
	p.say(dialText(one, onSpot(one, at, mhz, side), p.now()))
}

// onSpot is the transponder as seen from one spot of its passband: the one that
// a dial frequency means at a moment, 0 its middle.
func onSpot(one passing, at time.Time, mhz float64, side predict.Side) predict.Transponder {
	t := one.radio()
	tuning := one.table.TuneTo(siteOf(one.pass.Place), at, t, mhz, side)
	t.DownlinkMHz = tuning.DownlinkMHz - tuning.DownlinkHz/1e6
	t.UplinkMHz = tuning.UplinkMHz - tuning.UplinkHz/1e6
	return t
}

// dialTimes are the moments for which dials are told: now during the pass, and
// five along it.
func dialTimes(pass storage.Pass, now time.Time) []time.Time {
	times := []time.Time{
		pass.AOS, pass.AOS.Add(pass.TCA.Sub(pass.AOS) / 2), pass.TCA, pass.TCA.Add(pass.LOS.Sub(pass.TCA) / 2), pass.LOS,
	}
	if pass.Up(now) {
		times = append(only(times, now.Before), now)
	}
	slices.SortFunc(times, time.Time.Compare)
	return times
}

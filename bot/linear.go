package bot

import (
	"math"
	"regexp"
	"strconv"
	"time"

	"skyslate/predict"
	"skyslate/storage"
)

// statedMHz finds a frequency in a line: "435.640", with a decimal at least.
var statedMHz = regexp.MustCompile(`(?:^|[^0-9.,])([0-9]{2,5}[.,][0-9]{2,6})(?:$|[^0-9.,])`)

// outsideKHz is how far outside its passband a dial may stand and still be of a
// transponder: the Doppler shift on 70 cm is 10 kHz.
const outsideKHz = 15

// dialOf finds in a text a dial frequency of a linear transponder, and the side
// it is of.
func dialOf(text string, t predict.Transponder) (mhz float64, side predict.Side, ok bool) {
	if t.Kind != predict.Linear {
		return 0, 0, false
	}
	for _, m := range statedMHz.FindAllStringSubmatch(text, -1) {
		if mhz, is := megahertz(m[1]); is {
			if side, ok := sideOf(mhz, t); ok {
				return mhz, side, true
			}
		}
	}
	return 0, 0, false
}

// sideOf is the side of a linear transponder that a dial frequency is of.
func sideOf(mhz float64, t predict.Transponder) (side predict.Side, ok bool) {
	switch {
	case t.Kind != predict.Linear:
	case math.Abs(mhz-t.DownlinkMHz)*1000 <= t.DownlinkWidthKHz/2+outsideKHz:
		return predict.Receive, true
	case math.Abs(mhz-t.UplinkMHz)*1000 <= t.UplinkWidthKHz/2+outsideKHz:
		return predict.Transmit, true
	}
	return predict.Receive, false
}

func megahertz(text string) (float64, bool) {
	b := []byte(text)
	for i := range b {
		if b[i] == ',' {
			b[i] = '.'
		}
	}
	mhz, err := strconv.ParseFloat(string(b), 64)
	return mhz, err == nil
}

// takeDial takes the dial frequency that an answer to a contact on a linear bird
// states; false if it states none.
func (p *plan) takeDial(c *storage.Contact, text string) bool {
	f := p.filingOfContact(*c)
	mhz, _, ok := dialOf(text, f.bird.Main())
	if ok {
		c.DialMHz = mhz
		p.freezeDial(c, f)
	}
	return ok
}

// freezeDial freezes a dial frequency that was stated, by an answer or else by
// the line, into a contact on a linear bird, with the one of the other side that
// goes with it.
func (p *plan) freezeDial(c *storage.Contact, f filing) {
	t := f.bird.Main()
	mhz := c.DialMHz
	side, ok := sideOf(mhz, t)
	if !ok {
		mhz, side, ok = dialOf(c.Text, t)
	}
	if c.DialMHz = 0; !ok {
		return
	}
	c.DialMHz = mhz
	if side == predict.Receive {
		c.DownlinkMHz = mhz
	} else {
		c.UplinkMHz = mhz
	}
	if f.pass.ID == "" {
		return
	}
	table, err := p.sky.Ephemeris(f.pass.Bird.Catalog, c.Time, c.Time)
	if err != nil {
		return // the stated side is certain all the same
	}
	tuning := tuned(table, siteOf(f.pass.Place), c.Time, t, mhz, side)
	c.DownlinkMHz, c.UplinkMHz = inHz(tuning.DownlinkMHz), inHz(tuning.UplinkMHz)
}

// inHz rounds MHz to whole Hz.
func inHz(mhz float64) float64 { return math.Round(mhz*1e6) / 1e6 }

// tuned is how both dials stand for a dial frequency of either side; 0 is the
// middle of the passband.
func tuned(table *predict.Ephemeris, at predict.Site, when time.Time, t predict.Transponder, mhz float64, side predict.Side) predict.Tuning {
	if side == predict.Receive || mhz == 0 {
		return table.Tune(at, when, t, mhz)
	}
	// Which receive dial belongs to a transmit dial: the middles belong
	// together, and from there the two move by as much, the same way or the
	// opposite one. Doppler makes "as much" wrong by a millionth: one more
	// step settles it to a hundredth of a Hz.
	way := 1.0
	if t.Inverting {
		way = -1
	}
	tuning := table.Tune(at, when, t, 0)
	for range 2 {
		tuning = table.Tune(at, when, t, tuning.DownlinkMHz+way*(mhz-tuning.UplinkMHz))
	}
	return tuning
}

package contact

import (
	"skyslate/predict"
)

// stateDial takes the dial frequency that a text states of a contact on a linear
// bird; false if it states none.
func (d *derivation) stateDial(c *contact, text string) bool {
	mhz, _, ok := c.m.Bird.Main().Stated(text)
	if ok {
		c.DialMHz = mhz
	}
	return ok
}

// freezeDial freezes a dial frequency that was stated, by an answer or else by the
// line, with the one of the other side that goes with it.
func (s *settler) freezeDial(c *contact, t predict.Transponder) {
	mhz := c.DialMHz
	side, ok := t.SideOf(mhz)
	if !ok {
		mhz, side, ok = t.Stated(c.Text)
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
	if c.m.Pass.ID == "" {
		return
	}
	if down, up, ok := s.Dials(c.m.Pass, c.m.Bird, c.Time, mhz, side); ok {
		c.DownlinkMHz, c.UplinkMHz = down, up
	}
}

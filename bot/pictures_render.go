package bot

import (
	"fmt"
	"hash/fnv"
	"math"
	"strings"
	"time"

	"skyslate/bot/calendar"
	"skyslate/bot/draw"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// shown is what a picture or a calendar file of passes is made from.
type shown struct {
	op     storage.Operator
	passes []passing
}

// show reads anew what a recipe names: passes that are gone, or that nothing is
// known of any more, are left out; none at all can't be rendered.
func (d *Desk) show(op storage.OperatorID, ids ...storage.PassID) (shown, error) {
	var s shown
	err := d.store.View(func(v *storage.View) (err error) {
		if s.op, _, err = v.Operator(op); err != nil {
			return err
		}
		sky, _, err := d.skyOf(v, op)
		if err != nil {
			return err
		}
		for _, id := range ids {
			pass, ok, err := v.Pass(op, id)
			if err != nil {
				return err
			}
			if one, can := sky.telling(pass, s.op); ok && can && !pass.Void {
				s.passes = append(s.passes, one)
			}
		}
		return nil
	})
	if err == nil && len(s.passes) == 0 {
		err = &unfitError{why: fmt.Sprintf("nothing to show of the passes %v", ids), harmless: true}
	}
	return s, err
}

// In so many steps a pass is followed, however long it is: about 5 s for its
// track, and 16 s for what it reaches.
const (
	trackSteps = 130
	reachSteps = 40
)

// moments are the ends of so many equal steps of a pass, AOS and LOS among them.
func (p passing) moments(steps int) []time.Time {
	all := make([]time.Time, 0, steps+1)
	for i := range steps {
		all = append(all, p.pass.AOS.Add(p.pass.LOS.Sub(p.pass.AOS)*time.Duration(i)/time.Duration(steps)))
	}
	return append(all, p.pass.LOS)
}

// skyPicture renders recipeSky.
func (d *Desk) skyPicture(post storage.Post) ([]byte, error) {
	s, err := d.show(post.Operator, post.Recipe.Pass)
	if err != nil {
		return nil, err
	}
	return unfit(skyOfPass(s.passes[0]).PNG())
}

// skyOfPass is the picture of a pass.
func skyOfPass(p passing) draw.Sky {
	s := draw.Sky{Bird: p.bird.Name, Peak: p.spot(p.pass.TCA), Horizon: horizonOf(p.pass.Place)}
	for _, at := range p.moments(trackSteps) {
		s.Track = append(s.Track, p.spot(at))
	}
	if sides := steppedSides(p.radio()); len(sides) > 0 {
		s.Side = sides[0].label
		for _, step := range p.steps(sides[0]) {
			s.Turns = append(s.Turns, draw.Turn{Spot: p.spot(step.At), Dial: dialled(step.DialMHz, rasterOf(p.rig))})
		}
	}
	if p.radio().Kind == predict.Linear {
		s.Side, s.Turns = "receive", p.middles()
	}
	s.Sun.At = p.pass.TCA
	s.Sun.AzDeg, s.Sun.ElDeg = siteOf(p.pass.Place).Sun(p.pass.TCA)
	return s
}

// middles are the receive dial of a linear transponder along a pass.
func (p passing) middles() []draw.Turn {
	var turns []draw.Turn
	_, dials := p.dials()
	for _, at := range dialTimes(p.pass, time.Time{}) {
		turns = append(turns, draw.Turn{Spot: p.spot(at), Dial: strings.TrimSpace(dials(at)[0])})
	}
	return turns
}

func (p passing) spot(at time.Time) draw.Spot {
	l := p.look(at)
	return draw.Spot{At: at, AzDeg: l.AzDeg, ElDeg: l.ElDeg}
}

// reachPicture renders recipeReach.
func (d *Desk) reachPicture(post storage.Post) ([]byte, error) {
	s, err := d.show(post.Operator, post.Recipe.Pass)
	if err != nil {
		return nil, err
	}
	return unfit(reachOfPass(s.passes[0], post.Recipe.Grids).PNG())
}

// reachOfPass is what a pass reaches: each square whose middle sees the bird
// while the own place does.
func reachOfPass(p passing, wanted []parse.Grid) draw.Reach {
	here := siteOf(p.pass.Place)
	r := draw.Reach{
		Bird: p.bird.Name, AOS: p.pass.AOS, LOS: p.pass.LOS,
		OwnLat: here.LatDeg, OwnLon: here.LonDeg, OwnName: gridList(p.pass.Place.Grids[:min(1, len(p.pass.Place.Grids))]),
	}
	far := p.farthestKm()
	moments := p.moments(reachSteps)
	for lat := -89.5; lat < 90; lat++ {
		for lon := -179.0; lon < 180; lon += 2 {
			there := predict.Site{LatDeg: lat, LonDeg: lon}
			if predict.DistanceKm(here, there) > far {
				continue
			}
			if w := p.window(there, moments); !w.To.IsZero() {
				w.Grid = parse.GridAt(lat, lon, 4)
				r.Squares = append(r.Squares, w)
			}
		}
	}
	r.Wanted = p.windows(wanted)
	return r
}

// windows is when grids and the own place see the bird at once during the pass.
func (p passing) windows(grids []parse.Grid) []draw.Window {
	var all []draw.Window
	for _, g := range grids {
		from, to, _ := p.reachedFor(g)
		all = append(all, draw.Window{Grid: g, From: from, To: to})
	}
	return all
}

// window is the first and the last of the moments at which a place sees the bird;
// zero if there are none.
func (p passing) window(there predict.Site, moments []time.Time) draw.Window {
	var w draw.Window
	for _, at := range moments {
		if p.table.Look(there, at).ElDeg < 0 {
			continue
		}
		if w.From.IsZero() {
			w.From = at
		}
		w.To = at
	}
	return w
}

// farthestKm is further than any place that the pass can reach: from where the
// bird stands on the horizon at AOS or LOS it is as far again to the places that
// have it on theirs. The distance to the bird is a little more than that along
// the ground; a fifth is for orbits that are not round.
func (p passing) farthestKm() float64 {
	slant := math.Max(p.look(p.pass.AOS).RangeKm, p.look(p.pass.LOS).RangeKm)
	const halfRoundKm = 20004
	return math.Min(2.4*slant, halfRoundKm)
}

// workedPicture renders recipeWorked.
func (d *Desk) workedPicture(post storage.Post) ([]byte, error) {
	r := post.Recipe
	var op storage.Operator
	var contacts []storage.Contact
	err := d.store.View(func(v *storage.View) (err error) {
		if op, _, err = v.Operator(post.Operator); err == nil {
			contacts, err = v.Contacts(post.Operator, r.From, r.To)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	grids, newest := gridsWorked(contacts, r.Bird)
	return unfit(draw.Worked{
		Span: r.Span, Grids: grids, Newest: newest,
		OwnLat: op.Place.LatDeg, OwnLon: op.Place.LonDeg, OwnName: gridList(op.Place.Grids[:min(1, len(op.Place.Grids))]),
	}.PNG())
}

// calendarFile renders recipeCalendar.
func (d *Desk) calendarFile(post storage.Post) ([]byte, error) {
	s, err := d.show(post.Operator, post.Recipe.Passes...)
	if err != nil {
		return nil, err
	}
	var entries []calendar.Entry
	for _, p := range s.passes {
		entries = append(entries, calendar.Entry{
			UID: calendarUID(p.pass), Start: p.pass.AOS, End: p.pass.LOS,
			Summary: calendarSummary(p), Text: calendarText(p, s.op.Call, zoneOf(p.pass.Place)),
			Place: gridList(p.pass.Place.Grids), LatDeg: p.pass.Place.LatDeg, LonDeg: p.pass.Place.LonDeg,
			Alarms: alarmsOf(s.op, p.pass),
		})
	}
	return unfit(calendar.File(entries, post.Made, d.version))
}

// calendarUID is the pass's identity, unlike that of another operator's, and
// without saying who that is.
func calendarUID(pass storage.Pass) string {
	h := fnv.New32a()
	h.Write([]byte(pass.Operator)) // a hash never fails
	return fmt.Sprintf("%s.%08x@skyslate", pass.ID, h.Sum32())
}

// unfit makes of a failed rendering one that can never succeed: the same values
// would fail again.
func unfit(body []byte, err error) ([]byte, error) {
	if err != nil {
		return nil, &unfitError{why: err.Error()}
	}
	return body, nil
}

// reachedFor is how long a grid's middle sees the bird during a pass, and from
// when; ok is false if never.
func (p passing) reachedFor(g parse.Grid) (from, to time.Time, ok bool) {
	at := siteOf(p.pass.Place)
	for _, w := range predict.Windows(p.table, at, siteOfGrid(g), p.pass.AOS, p.pass.LOS, 0) {
		if w.Start.Before(p.pass.LOS) && w.End.After(p.pass.AOS) {
			return w.Start, w.End, true
		}
	}
	return time.Time{}, time.Time{}, false
}

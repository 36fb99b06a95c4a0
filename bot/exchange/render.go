package exchange

import (
	"fmt"
	"hash/fnv"
	"math"
	"strings"
	"time"

	"skyslate/bot/calendar"
	"skyslate/bot/draw"
	"skyslate/bot/event"
	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/peers"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sound"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// material is what a picture or a calendar file of passes is made from.
type material struct {
	op     storage.Operator
	passes []storage.Pass
	views  []say.Pass // of each
}

// show reads anew what a recipe names: passes that are gone, or that nothing is
// known of any more, are left out; none at all can't be rendered.
func (m Maker) show(post storage.Post, ids ...storage.PassID) (material, error) {
	var s material
	err := m.Store.View(func(v *storage.View) error {
		t := tx.New(v, event.Event{Operator: post.Log(), At: post.Made}, m.Skies)
		s.op = t.Op
		planner := watch.Planner{Card: watch.Card{Tx: t}}
		for _, id := range ids {
			pass, ok := t.Pass(id)
			if view, can := planner.PastView(pass); ok && can && !pass.Void {
				s.passes, s.views = append(s.passes, pass), append(s.views, view)
			}
		}
		return t.Err
	})
	if err == nil && len(s.passes) == 0 {
		err = &UnfitError{Why: fmt.Sprintf("nothing to show of the passes %v", ids), Harmless: true}
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
func moments(p say.Pass, steps int) []time.Time {
	all := make([]time.Time, 0, steps+1)
	for i := range steps {
		all = append(all, p.AOS.Add(p.LOS.Sub(p.AOS)*time.Duration(i)/time.Duration(steps)))
	}
	return append(all, p.LOS)
}

// skyOfPass is the picture of a pass, asked for at a moment: storage.RecipeSky.
func skyOfPass(p say.Pass, now time.Time) draw.Sky {
	squares := strings.Join(phrase.Each(p.Place.Grids, func(g parse.Grid) string { return g.Square().String() }), " ")
	s := draw.Sky{Bird: p.Bird.Name, OwnName: squares, Peak: spot(p, p.TCA), Horizon: p.Place.Horizon, Now: now}
	for _, at := range moments(p, trackSteps) {
		s.Track = append(s.Track, spot(p, at))
	}
	side, turns := p.Turns()
	s.Side = side
	for _, t := range turns {
		s.Turns = append(s.Turns, draw.Turn{Spot: spot(p, t.At), Dial: t.Dial})
	}
	s.Sun.At = p.TCA
	s.Sun.AzDeg, s.Sun.ElDeg = p.Place.Site.Sun(p.TCA)
	return s
}

func spot(p say.Pass, at time.Time) draw.Spot {
	l := p.Look(at)
	return draw.Spot{At: at, AzDeg: l.AzDeg, ElDeg: l.ElDeg}
}

// reachOfPass is what a pass reaches, storage.RecipeReach: each square whose middle
// sees the bird while the own place does.
func reachOfPass(p say.Pass, wanted []parse.Grid) draw.Reach {
	here := p.Place.Site
	r := draw.Reach{
		Bird: p.Bird.Name, AOS: p.AOS, LOS: p.LOS,
		OwnLat: here.LatDeg, OwnLon: here.LonDeg, OwnName: phrase.Grids(p.Place.Grids),
	}
	far := farthestKm(p)
	times := moments(p, reachSteps)
	for lat := -89.5; lat < 90; lat++ {
		for lon := -179.0; lon < 180; lon += 2 {
			there := predict.Site{LatDeg: lat, LonDeg: lon}
			if predict.DistanceKm(here, there) > far {
				continue
			}
			if w := window(p, there, times); !w.To.IsZero() {
				w.Grid = parse.GridAt(lat, lon, 4)
				r.Squares = append(r.Squares, w)
			}
		}
	}
	for _, g := range wanted {
		w, _ := p.With(g)
		r.Wanted = append(r.Wanted, draw.Window{Grid: g, From: w.Start, To: w.End})
	}
	return r
}

// window is the first and the last of the moments at which a place sees the bird;
// zero if there are none.
func window(p say.Pass, there predict.Site, moments []time.Time) draw.Window {
	var w draw.Window
	for _, at := range moments {
		if p.Table.Look(there, at).ElDeg < 0 {
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
func farthestKm(p say.Pass) float64 {
	slant := math.Max(p.Look(p.AOS).RangeKm, p.Look(p.LOS).RangeKm)
	const halfRoundKm = 20004
	return math.Min(2.4*slant, halfRoundKm)
}

// workedPicture renders storage.RecipeWorked.
func (m Maker) workedPicture(post storage.Post) ([]byte, error) {
	r := post.Recipe
	var op storage.Operator
	var contacts []storage.Contact
	var agreed map[uint64]bool
	err := m.Store.View(func(v *storage.View) error {
		t := tx.New(v, event.Event{Operator: post.Log(), At: post.Made}, m.Skies)
		op, contacts = t.Op, t.ContactsIn(r.From, r.To)
		agreed = peers.Peers{Tx: t}.Agreed(contacts)
		return t.Err
	})
	if err != nil {
		return nil, err
	}
	grids, newest := gridsWorked(contacts, r.Bird)
	agree, _ := gridsWorked(lists.Filter(contacts, func(c storage.Contact) bool { return agreed[c.ID] }), r.Bird)
	return unfit(draw.Worked{
		Span: r.Span, Grids: grids, Newest: newest, Agreed: agree,
		OwnLat: op.Place.LatDeg, OwnLon: op.Place.LonDeg, OwnName: phrase.Grids(op.Place.Grids),
	}.PNG())
}

// calendarFile renders storage.RecipeCalendar.
func (m Maker) calendarFile(post storage.Post) ([]byte, error) {
	s, err := m.show(post, post.Recipe.Passes...)
	if err != nil {
		return nil, err
	}
	alarms := sound.Alarms(s.op, s.passes, s.views)
	var entries []calendar.Entry
	for i, pass := range s.passes {
		view := s.views[i]
		entries = append(entries, calendar.Entry{
			UID: calendarUID(pass), Start: pass.AOS, End: pass.LOS,
			Summary: say.CalendarSummary(view), Text: say.CalendarEntry(view, s.op.Call, shown.Zone(pass.Place)),
			Place: phrase.Grids(pass.Place.Grids), LatDeg: pass.Place.LatDeg, LonDeg: pass.Place.LonDeg,
			Alarms: []time.Duration{alarms[i]},
		})
	}
	return unfit(calendar.File(entries, post.Made, m.Version))
}

// sheets renders storage.RecipeSheets.
func (m Maker) sheets(post storage.Post) ([]byte, error) {
	s, err := m.show(post, post.Recipe.Passes...)
	if err != nil {
		return nil, err
	}
	return []byte(layout.Plain(say.Sheets(s.views, s.op.Call, shown.Zone(s.passes[0].Place)))), nil
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
		return nil, &UnfitError{Why: err.Error()}
	}
	return body, nil
}

package bot

import (
	"errors"
	"slices"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/sky"
	"skyslate/predict"
	"skyslate/storage"
)

// What is stored, as package say shows it.

// planned is a pass as package predict writes it, with its peak alone.
func planned(pass storage.Pass) predict.Pass {
	return predict.Pass{
		Name: pass.Bird.Name, Catalog: pass.Bird.Catalog, AOS: pass.AOS, TCA: pass.TCA, LOS: pass.LOS,
		AtTCA: predict.Look{ElDeg: pass.PeakElDeg},
	}
}

func plannedAll(passes []storage.Pass) []predict.Pass {
	all := make([]predict.Pass, len(passes))
	for i, pass := range passes {
		all[i] = planned(pass)
	}
	return all
}

func placeView(p storage.Place) say.Place {
	return say.Place{Grids: p.Grids, Site: sky.Site(p), Horizon: sky.Horizon(p), Set: p.Set}
}

func radioView(r storage.Radio) say.Radio { return say.Radio{StepKHz: rasterOf(r), Both: r.Both} }

// passView joins a pass with what it takes to tell of it; false if that is not at
// hand.
func (p *plan) passView(pass storage.Pass) (say.Pass, bool) { return passView(p.sky, pass, p.op) }

func passView(s *sky.Sky, pass storage.Pass, op storage.Operator) (say.Pass, bool) {
	bird, ok := s.ByCatalog(pass.Bird.Catalog)
	if !ok {
		return say.Pass{}, false
	}
	table, err := s.Ephemeris(pass.Bird.Catalog, pass.AOS, pass.LOS)
	view := say.Pass{
		Pass: planned(pass), Bird: bird, Table: table, Place: placeView(pass.Place), Radio: radioView(op.Radio), Wanted: op.Wanted,
		Followed: pass.Followed(), Skipped: pass.Arm == storage.ArmSkipped, Hidden: pass.Hidden,
	}
	if o, out := outingAt(op, pass.TCA); out {
		view.Wanted = o.Wanted
	}
	for _, s := range pass.Skeds {
		view.Skeds = append(view.Skeds, say.Sked(s))
	}
	return view, err == nil
}

func contactView(c storage.Contact) say.Contact {
	view := say.Contact{
		Call: c.Call, Grids: c.Grids, Text: c.Text, State: say.State(c.State), Why: c.Why, Offered: len(c.Candidates) > 0,
		Time: c.Time, TimeSource: say.TimeSource(c.TimeSource), DialMHz: c.DialMHz,
		Bird: c.Bird.Name, LogName: c.Bird.LogName, OffCard: c.Pass == "",
		OwnCall: c.OwnCall, OwnGrids: c.OwnGrids, Made: c.Made, Cause: c.Cause.Kind,
	}
	if c.Mark != nil {
		view.Offset, view.Slate = c.Mark.Offset, c.Mark.Slate
	}
	return view
}

// contactViews are contacts in the order of a list: those that repeat an earlier
// one of it are marked.
func contactViews(all []storage.Contact) []say.Contact {
	type exchange struct {
		pass  storage.PassID
		call  string
		grids string
	}
	seen := map[exchange]bool{}
	views := make([]say.Contact, len(all))
	for i, c := range all {
		views[i] = contactView(c)
		if given := (exchange{c.Pass, c.Call.String(), say.Grids(c.Grids)}); c.Exported() && c.Pass != "" {
			views[i].Again = seen[given]
			seen[given] = true
		}
	}
	return views
}

// echoed says how a contact was taken: with its bird where that isn't the one on
// the card, with its date where that isn't the day it was sent.
func (p *plan) echoed(c storage.Contact) string {
	view := contactView(c)
	view.Number, view.Again = p.ordinal(c), p.repeats(c)
	sent := c.Time
	if m, ok := p.messageOf(c.Message); ok {
		sent = m.At
	}
	view.OffCard = c.Pass == "" || c.Pass != p.onCard(sent)
	view.Dated = c.Time.UTC().Format(time.DateOnly) != sent.UTC().Format(time.DateOnly)
	here := placeView(p.op.Place)
	if len(c.OwnGrids) > 0 && !slices.Equal(c.OwnGrids, p.op.Place.Grids) {
		here = say.Place{Grids: c.OwnGrids, Site: sky.GridSite(c.OwnGrids[0])}
	}
	return say.Echo(view, here)
}

// onCard is the pass whose card was the last to go up at a moment.
func (p *plan) onCard(at time.Time) storage.PassID {
	if pass, ok := p.pass(p.op.Chosen); ok && pass.Up(at) {
		return pass.ID
	}
	var last storage.Pass
	for _, pass := range p.passesIn(at.Add(-contact.LookBack), at.Add(contact.EarlySlack)) {
		if pass.Followed() && !pass.AOS.After(at.Add(contact.EarlySlack)) && pass.AOS.After(last.AOS) {
			last = pass
		}
	}
	return last.ID
}

func correctionView(b storage.Bulk) say.Correction {
	return say.Correction{Field: b.Change.Field, Value: b.Value, Contacts: len(b.Contacts)}
}

func outingView(o storage.Outing) say.Outing {
	return say.Outing{Place: placeView(o.Place), Zone: zoneOf(o.Place), From: o.From, Until: o.Until, Armed: !o.Armed.IsZero()}
}

func (p *plan) birdView(b predict.Bird) say.Bird {
	view := say.Bird{Bird: b, Also: sky.OtherNames(b)}
	if e, ok := p.sky.Elements(b.Catalog); ok {
		view.Elements = &e
		view.NeverUp = len(p.op.Place.Grids) > 0 && !e.EverRises(sky.Site(p.op.Place))
	}
	return view
}

// refusedView sorts birds by why they can't be predicted. Other errors are not for
// the operator.
func refusedView(errs []error) say.Refused {
	var r say.Refused
	for _, err := range errs {
		var (
			missing *sky.NoElementsError
			stale   *sky.StaleError
			refusal *predict.Refusal
		)
		switch {
		case errors.As(err, &missing):
			r.NoElements = append(r.NoElements, missing.Bird)
		case errors.As(err, &stale):
			r.Old = append(r.Old, stale.Bird)
			r.Age, r.Max = max(r.Age, stale.Age), stale.Max
		case errors.As(err, &refusal):
			r.Unfit = append(r.Unfit, refusal.Name)
			r.Detail = refusal.Detail
		}
	}
	return r
}

// shaped is the last guard of what goes out: it fits a phone, but for a sign, and
// the caption of a file, whose lines do.
func shaped(text string, op storage.Op) string {
	switch op {
	case storage.React:
		return text
	case storage.File:
		return say.Narrow(text)
	}
	return say.Fit(text)
}

// A sayable error is one that the operator reads as it is.
type sayable string

func (e sayable) Error() string { return string(e) }

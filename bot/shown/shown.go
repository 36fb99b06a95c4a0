// Package shown gives what is stored as package say shows it.
package shown

import (
	"cmp"
	"errors"
	"strings"
	"time"

	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/say/settings"
	"skyslate/bot/sky"
	"skyslate/bot/zone"
	"skyslate/predict"
	"skyslate/storage"
)

// Zone is the time zone of a place.
func Zone(place storage.Place) *time.Location {
	loc, err := time.LoadLocation(place.Zone)
	if err != nil || place.Zone == "" && len(place.Grids) > 0 {
		_, loc = zoneOf(place)
	}
	return loc
}

// ZoneName is the IANA name of the time zone of a place, by where it lies.
func ZoneName(place storage.Place) string {
	name, _ := zoneOf(place)
	return name
}

// zoneOf is the time zone of where a place lies. The middle of a line or a corner may lie
// at sea: then the first of its grids that doesn't says it.
func zoneOf(place storage.Place) (name string, loc *time.Location) {
	at := [][2]float64{{place.LatDeg, place.LonDeg}}
	if len(place.Grids) > 1 {
		for _, g := range place.Grids {
			lat, lon := g.Center()
			at = append(at, [2]float64{lat, lon})
		}
	}
	return zone.OnLand(at...)
}

// RasterKHz is the step of the radio's dial where the operator says none: every
// frequency told is a multiple of it. Common practice, no source.
const RasterKHz = 5.0

// Raster is the step of a radio's dial in kHz.
func Raster(r storage.Radio) float64 { return cmp.Or(r.StepKHz, RasterKHz) }

// Remind is what an operator is reminded of.
func Remind(r storage.Remind) settings.Remind {
	view := settings.Remind{
		Off: r.Off, Lead: r.Lead, PeakDeg: r.PeakDeg, PerDay: r.PerDay, Birds: r.Birds, Picture: r.Picture, Evening: r.Evening,
	}
	for day := range view.Week {
		view.Week[day].From, view.Week[day].Until, _ = r.Hours(time.Weekday(day))
	}
	return view
}

// Planned is a pass as package predict writes it, with its peak alone.
func Planned(pass storage.Pass) predict.Pass {
	return predict.Pass{
		Name: pass.Bird.Name, Catalog: pass.Bird.Catalog, AOS: pass.AOS, TCA: pass.TCA, LOS: pass.LOS,
		AtTCA: predict.Look{ElDeg: pass.PeakElDeg},
	}
}

// PlannedAll is Planned for several.
func PlannedAll(passes []storage.Pass) []predict.Pass {
	all := make([]predict.Pass, len(passes))
	for i, pass := range passes {
		all[i] = Planned(pass)
	}
	return all
}

// Place is a place with what hides its sky.
func Place(p storage.Place) say.Place {
	return say.Place{Grids: p.Grids, Site: sky.Site(p), Horizon: sky.Horizon(p), Set: p.Set}
}

// Settings are an operator's settings.
func Settings(s storage.Settings) say.Settings {
	return say.Settings{Call: s.Call, Grids: s.Place.Grids, Home: s.Home.Grids, Wanted: s.Wanted, Radio: Radio(s.Radio)}
}

// Radio is how a radio is dialled.
func Radio(r storage.Radio) say.Radio { return say.Radio{StepKHz: Raster(r), Both: r.Both} }

// Pass joins a pass with what it takes to tell of it; false if that is not at
// hand.
func Pass(s *sky.Sky, pass storage.Pass, op storage.Operator) (say.Pass, bool) {
	bird, ok := s.ByCatalog(pass.Bird.Catalog)
	if !ok {
		return say.Pass{}, false
	}
	table, err := s.Ephemeris(pass.Bird.Catalog, pass.AOS, pass.LOS)
	view := say.Pass{
		Pass: Planned(pass), Bird: bird, Table: table, Place: Place(pass.Place), Radio: Radio(op.Radio), Wanted: op.Wanted,
		Followed: pass.Followed(), Skipped: pass.Arm == storage.ArmSkipped,
	}
	if o, out := op.OutingAt(pass.TCA); out {
		view.Wanted = o.Wanted
	}
	for _, s := range pass.Skeds {
		view.Skeds = append(view.Skeds, say.Sked(s))
	}
	return view, err == nil
}

// Contact is a contact by itself: its number and what it repeats are told apart.
func Contact(c storage.Contact) say.Contact {
	view := say.Contact{
		Call: c.Call, Grids: c.Grids, Text: c.Text, State: say.State(c.State), Why: c.Why, Offered: len(c.Candidates) > 0,
		Time: c.Time, TimeSource: say.TimeSource(c.TimeSource), DialMHz: c.DialMHz, Name: c.Name, Report: c.Report, Note: c.Note,
		Bird: c.Bird.Name, LogName: c.Bird.LogName, OffCard: c.Pass == "",
		OwnCall: c.OwnCall, OwnGrids: c.OwnGrids, Made: c.Made, Cause: c.Cause.Kind,
	}
	view.Dated = !c.Made.IsZero() && c.Time.UTC().Format(time.DateOnly) != c.Made.UTC().Format(time.DateOnly)
	if n := len(c.Candidates); c.Why == say.WhyGrid && n > 0 {
		view.Before = c.Candidates[n-1].Grids
	}
	if len(c.Candidates) > 0 && c.Why == say.WhyTwin {
		view.Other = c.Candidates[0].Call
	}
	if c.Mark != nil {
		view.Offset, view.Slate = c.Mark.Offset, c.Mark.Slate
	}
	return view
}

// Contacts are contacts in the order of a list: those that repeat an earlier
// one of it are marked.
func Contacts(all []storage.Contact) []say.Contact {
	type exchange struct {
		pass  storage.PassID
		call  string
		grids string
	}
	seen := map[exchange]bool{}
	views := make([]say.Contact, len(all))
	for i, c := range all {
		views[i] = Contact(c)
		if given := (exchange{c.Pass, c.Call.String(), phrase.Grids(c.Grids)}); c.Exported() && c.Pass != "" {
			views[i].Again = seen[given]
			seen[given] = true
		}
	}
	return views
}

// Correction is a change to many contacts.
func Correction(b storage.Bulk) say.Correction {
	return say.Correction{Field: b.Change.Field, Value: b.Value, Contacts: len(b.Contacts)}
}

// Outing is an outing in the zone of its place.
func Outing(o storage.Outing) say.Outing {
	return say.Outing{
		Place: Place(o.Place), Zone: Zone(o.Place), From: o.From, Until: o.Until, PeakDeg: o.PeakDeg, Wanted: o.Wanted, Armed: !o.Armed.IsZero(),
	}
}

// Refused sorts birds by why they can't be predicted. Other errors are not for
// the operator.
func Refused(errs []error) say.Refused {
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

// FileName joins words to a name that every file system takes.
func FileName(words ...string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || r == '_' {
			return r
		}
		return '-'
	}, strings.Join(words, "_"))
}

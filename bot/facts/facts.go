// Package facts is what deriving a sitting's contacts leans on, as the store and the sky
// have it: passes, birds, who was worked before, what a footprint reaches. What was asked
// once is frozen in the sitting and answered from there ever after, so that a log derived
// anew, years later, comes to the same.
package facts

import (
	"fmt"
	"math"
	"slices"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// Of are the facts of a sitting, which keeps what was asked; read reads lines, as
// parse.Read does.
func Of(t *tx.Tx, s *storage.Sitting, read func(string, parse.Known) []parse.Line) filing.Facts {
	f := factsOf{Tx: t, Sitting: s, elsewhere: map[storage.PassID][]storage.Contact{}, here: map[uint64]bool{}}
	for _, known := range s.Contacts {
		f.here[known.ID] = true
	}
	facts := filing.Facts{
		Own: s.Own, Passes: f.passesIn, Pass: t.Pass, Listed: t.Follows,
		Read: read, Bird: f.bird, Catalogued: f.catalogued, Predicted: f.predicted, Names: f.names(),
		Zone: zoneOf, Numbered: f.numbered, Meant: f.meant, Elsewhere: f.contactsElsewhere,
		Worked: f.worked, Confirmed: f.confirmed, Endings: f.endings, Heads: f.heads,
		Expected: f.expected, Reached: f.reached, Dials: f.dials,
	}
	if t.Op.Agreeing.Call.IsValid() || len(s.Frozen.Peers) > 0 {
		facts.Peers = f.peers
	}
	return facts
}

// peers are others who let their logs be compared, as the operator does since before a
// moment, whose place the bird serves on a pass, and whose call begins with a part or ends
// in it: their calls and squares, of which all know. It is no matter what they have logged.
// It is asked for each moment at which a line was said, so that who switches that off, or
// leaves, is not asked about from the next line on.
func (f *factsOf) peers(pass storage.Pass, at time.Time, part string, ends bool) []parse.Station {
	key := fmt.Sprint(pass.ID, " ", part, " ", ends)
	known, frozen := f.Frozen.Peers[key] // of a sitting in which it was asked once for all lines
	if !frozen {
		key += fmt.Sprint(" ", at.UnixMilli())
		known, frozen = f.Frozen.Peers[key]
	}
	if a := f.Op.Agreeing; !frozen && (!a.Call.IsValid() || at.Before(a.Since)) {
		return nil
	}
	if !frozen {
		known = recall(&f.Frozen.Peers, key, func() []storage.Candidate { return f.comparing(pass, part, ends) })
	}
	var all []parse.Station
	for _, c := range known {
		all = append(all, parse.Station(c))
	}
	return all
}

// comparing are those now, at most as many as a question offers.
func (f *factsOf) comparing(pass storage.Pass, part string, ends bool) (all []storage.Candidate) {
	find := f.View.CallersFrom
	if ends {
		find = f.View.CallersTo
	}
	for _, id := range find(part) {
		o, ok := tx.Got(f.Tx, func() (storage.Operator, bool, error) { return f.View.Operator(id) })
		if !ok || id == f.Op.ID || len(o.Place.Grids) == 0 || len(all) == tx.MaxChoices {
			continue
		}
		serves, known := f.serves(pass, o.Place.Grids[0], pass.AOS, pass.LOS)
		if serves && known {
			all = append(all, storage.Candidate{Call: o.Call, Grids: parse.Squares(o.Place.Grids)})
		}
	}
	return all
}

// zoneOf is the time zone of an own side's place; of one that was noted without it, of
// the middle of its grids.
func zoneOf(own storage.OwnSide) *time.Location {
	site := say.Meeting(own.Grids)
	return shown.Zone(storage.Place{Grids: own.Grids, Zone: own.Zone, LatDeg: site.LatDeg, LonDeg: site.LonDeg})
}

type factsOf struct {
	*tx.Tx
	*storage.Sitting
	passes    []storage.Pass
	from, to  time.Time
	elsewhere map[storage.PassID][]storage.Contact
	here      map[uint64]bool // the contacts of the sitting
}

// passesIn reads the passes around the whole sitting once.
func (f *factsOf) passesIn(from, to time.Time) []storage.Pass {
	if f.from.IsZero() {
		f.from, f.to = f.Began.Add(-filing.LookBack-time.Hour), timing.Later(f.Last, f.Event.At).Add(time.Hour)
		f.passes = f.PassesIn(f.from, f.to)
	}
	if from.Before(f.from) || to.After(f.to) {
		return f.PassesIn(from, to)
	}
	return lists.Filter(f.passes, func(pass storage.Pass) bool { return pass.AOS.Before(to) && pass.LOS.After(from) })
}

func (f *factsOf) names() []string {
	names := f.Sky.Names()
	for _, b := range f.Frozen.Birds {
		for _, name := range append([]string{b.Name, b.LogName}, b.Aliases...) {
			if name != "" && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}

func (f *factsOf) bird(name string) (predict.Bird, bool) {
	if b, ok := sky.Find(f.Frozen.Birds, name); ok {
		return b, true
	}
	b, ok := f.Sky.Bird(name)
	return f.freeze(b, ok)
}

func (f *factsOf) catalogued(catalog int) (predict.Bird, bool) {
	if i := slices.IndexFunc(f.Frozen.Birds, func(b predict.Bird) bool { return b.Catalog == catalog }); i >= 0 {
		return f.Frozen.Birds[i], true
	}
	b, ok := f.Sky.ByCatalog(catalog)
	return f.freeze(b, ok)
}

// predicted reports whether passes of a bird could be worked out.
func (f *factsOf) predicted(b predict.Bird) bool {
	return recall(&f.Frozen.Predicted, b.Catalog, func() bool {
		_, err := f.Sky.Ephemeris(b.Catalog, f.Now(), f.Now())
		return err == nil
	})
}

// freeze keeps a bird as it is now: its names, and the transponder for contacts.
func (f *factsOf) freeze(b predict.Bird, ok bool) (predict.Bird, bool) {
	if !ok {
		return b, false
	}
	b.Status, b.Notes, b.Source, b.Transponders = predict.Status{}, "", "", []predict.Transponder{b.Main()}
	f.Frozen.Birds = append(f.Frozen.Birds, b)
	return b, true
}

// contactsElsewhere are the contacts of a pass that earlier sittings hold, or a file.
func (f *factsOf) contactsElsewhere(id storage.PassID) []storage.Contact {
	all, read := f.elsewhere[id]
	if !read && id != "" {
		all = lists.Filter(f.ContactsOf(id), func(c storage.Contact) bool {
			if !f.elsewhereMade(c) {
				return false
			}
			m, _ := f.MessageOf(c.Message) // none, of what a file held
			return m.Sitting < f.ID
		})
		f.elsewhere[id] = all
	}
	return all
}

func (f *factsOf) elsewhereMade(c storage.Contact) bool { return !f.here[c.ID] }

// remembered are the contacts with a station that other sittings hold.
func (f *factsOf) remembered(call parse.Callsign) []storage.Contact {
	all := tx.List(f.Tx, func() ([]storage.Contact, error) { return f.View.ContactsOfCall(f.Op.ID, call) })
	return lists.Filter(all, func(c storage.Contact) bool { return tx.Remembered(c) && f.elsewhereMade(c) })
}

// recall answers from what is frozen, or asks and freezes the answer.
func recall[K comparable, V any](frozen *map[K]V, key K, ask func() V) V {
	v, ok := (*frozen)[key]
	if !ok {
		if *frozen == nil {
			*frozen = map[K]V{}
		}
		v = ask()
		(*frozen)[key] = v
	}
	return v
}

// worked are the grids that other sittings have of a station.
func (f *factsOf) worked(call parse.Callsign) []parse.Grid {
	return recall(&f.Frozen.Worked, call.String(), func() []parse.Grid {
		var grids []parse.Grid
		for _, c := range f.remembered(call) {
			for _, g := range c.Grids {
				if !slices.Contains(grids, g) {
					grids = append(grids, g)
				}
			}
		}
		return grids
	})
}

// confirmed reports whether other sittings hold a contact with a call.
func (f *factsOf) confirmed(call parse.Callsign) bool {
	return recall(&f.Frozen.Confirmed, call.String(), func() bool { return len(f.remembered(call)) > 0 })
}

// endings are the stations worked before whose base ends in some letters.
func (f *factsOf) endings(tail string) []parse.Callsign {
	return f.calls(&f.Frozen.Endings, tail, f.View.VisitTail)
}

// heads are the stations worked before whose call begins with some symbols.
func (f *factsOf) heads(head string) []parse.Callsign {
	return f.calls(&f.Frozen.Heads, head, f.View.VisitHead)
}

// calls are the stations worked before that a visit finds, at most as many as a
// question could offer twice over.
func (f *factsOf) calls(
	frozen *map[string][]string, key string, visit func(storage.OperatorID, string, func(storage.Contact) bool) error,
) []parse.Callsign {
	texts := recall(frozen, key, func() []string {
		var calls []string
		f.Visit(func() error {
			return visit(f.Op.ID, key, func(c storage.Contact) bool {
				if tx.Remembered(c) && f.elsewhereMade(c) && !slices.Contains(calls, c.Call.String()) {
					calls = append(calls, c.Call.String())
				}
				return len(calls) < 2*tx.MaxChoices
			})
		})
		return calls
	})
	var all []parse.Callsign
	for _, s := range texts {
		if call, err := parse.ParseCallsign(s); err == nil {
			all = append(all, call)
		}
	}
	return all
}

// numbered is the contact that a number on a pass meant to the operator when a message
// named it.
func (f *factsOf) numbered(pass storage.PassID, n int, before int64) (storage.ContactKey, bool) {
	key := recall(&f.Frozen.Numbered, fmt.Sprintf("%s %d %d", pass, n, before), func() storage.ContactKey {
		c, ok := f.Numbered(pass, n)
		if !ok || f.placeOf(c.Message) >= f.placeOf(before) {
			return storage.ContactKey{}
		}
		for _, known := range f.Sitting.Contacts {
			if known.ID == c.ID {
				return known.Key
			}
		}
		return storage.ContactKey{}
	})
	return key, key.Message != 0
}

// meant are the contacts that a line was found to mean.
func (f *factsOf) meant(line string, find func() []storage.ContactKey) []storage.ContactKey {
	return recall(&f.Frozen.Meant, line, find)
}

// placeOf is the place of a message in the evidence, which is the order in which messages
// were worked: those of two phones have no other. One that isn't there comes last.
func (f *factsOf) placeOf(message int64) int {
	i := slices.IndexFunc(f.Sitting.Evidence, func(ev storage.Evidence) bool {
		return ev.Kind == storage.EvSaid && ev.Message == message
	})
	if i < 0 {
		return len(f.Sitting.Evidence)
	}
	return i
}

// reached reports whether a bird could serve a square on a pass between two moments.
func (f *factsOf) reached(pass storage.Pass, g parse.Grid, from, to time.Time) (reached, known bool) {
	squares := f.Frozen.Reached[pass.ID]
	square := g.Square().String()
	from, to = from.Truncate(time.Minute), to.Truncate(time.Minute).Add(time.Minute)
	if from.After(pass.AOS) || to.Before(pass.LOS) {
		square += from.UTC().Format("@15:04") + to.UTC().Format("-15:04")
	}
	if is, ok := squares[square]; ok {
		return is, true
	}
	is, known := f.serves(pass, g, from, to)
	if !known {
		return false, false
	}
	squares = recall(&f.Frozen.Reached, pass.ID, func() map[string]bool { return map[string]bool{} })
	squares[square] = is
	return is, true
}

// serves reports whether a bird serves a square between two moments of a pass.
func (f *factsOf) serves(pass storage.Pass, g parse.Grid, from, to time.Time) (serves, known bool) {
	// Clocks differ, and overs cross AOS and LOS.
	from, to = from.Add(-timing.ClockSlack), to.Add(timing.ClockSlack)
	table, err := f.Sky.Ephemeris(pass.Bird.Catalog, from, to)
	if err != nil {
		return false, false
	}
	const halfLat, halfLon = 0.5, 1.0 // degrees of a square
	lat, lon := g.Square().Center()
	return table.Reaches(predict.Pass{Catalog: pass.Bird.Catalog, TCA: pass.TCA, AOS: from, LOS: to},
		lat-halfLat, lon-halfLon, lat+halfLat, lon+halfLon), true
}

// dials are the receive and transmit MHz that go with a stated frequency.
func (f *factsOf) dials(pass storage.Pass, bird predict.Bird, when time.Time, mhz float64, side predict.Side) (down, up float64, ok bool) {
	key := fmt.Sprintf("%d %d %v %g", bird.Catalog, when.Unix(), side, mhz)
	if both, ok := f.Frozen.Dials[key]; ok {
		return both[0], both[1], true
	}
	table, err := f.Sky.Ephemeris(pass.Bird.Catalog, when, when)
	if err != nil {
		return 0, 0, false // the stated side is certain all the same
	}
	tuning := table.Tune(sky.Site(pass.Place), when, bird.Main(), mhz, side)
	both := recall(&f.Frozen.Dials, key, func() [2]float64 {
		return [2]float64{inHz(tuning.DownlinkMHz), inHz(tuning.UplinkMHz)}
	})
	return both[0], both[1], true
}

// inHz rounds MHz to whole Hz.
func inHz(mhz float64) float64 { return math.Round(mhz*1e6) / 1e6 }

// expected are the stations that contacts are arranged with on a pass.
func (f *factsOf) expected(id storage.PassID) []parse.Station {
	pass, _ := f.Pass(id)
	var all []parse.Station
	for _, s := range pass.Skeds {
		all = append(all, parse.Station{Call: s.Call, Grids: []parse.Grid{s.Grid}})
	}
	return all
}

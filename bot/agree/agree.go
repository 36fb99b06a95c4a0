// Package agree holds the contacts of two operators against each other. It is pure: it
// knows no store, no clock, and no word that an operator reads.
//
// # Which contacts
//
// Each side compares under one call since a moment, when it was switched on: its contacts
// under that call, by a bird, in the log ([storage.Agreeing]), and made since both sides
// had switched it on. All else that stands in either log is compared with nothing; but a
// contact beside which some of it could belong differs from nothing, and lacks nowhere:
// nobody is told that something lacks which stands in a log. Of the other side's contacts
// a side learns those alone that name its call, or a call that differs from it in one or
// two symbols. Calls are one if their bases are: OX9QZT, OX9QZT/P and F/OX9QZT
// are the same station. A contact that names exactly the call of somebody else who
// compares is about them, and about nobody whose call is like it.
//
// # When they are one contact
//
//	                                       the contacts
//	the same bird, 10 min apart or less,
//	both calls and both grids fit          agree
//	… more than 5 min apart                agree, and it is told
//	… a call is off, or a grid isn't one
//	of those the other stood in            differ
//	the same bird, up to 30 min apart      differ in time, and in what else does
//	another bird, 10 min apart or less     differ in the bird, and in what else does
//	one names the other's call exactly,
//	and the other has nothing like it      one side lacks it
//
// Grids count as squares, by which they are exchanged: common practice, no source. A
// contact without a grid claims none. A time that is known as its pass's alone is no difference up to 10 min.
// Passes of one bird lie more than an hour apart, so 30 min is the same pass: common
// practice, no source.
//
// One contact agrees with one: those two that are the nearest to each other in time. One
// that could agree differs from none, also where a nearer one took the other's. Of the rest
// those two are held together that are the likeliest for each other, so that both sides come
// to the same. A contact that has others beside it, but none of its own, is passed over, and
// so is what repeats on the same pass a contact that the other side lacks.
package agree

import (
	"cmp"
	"slices"
	"time"

	"skyslate/parse"
	"skyslate/parse/slip"
	"skyslate/storage"
)

const (
	// mostOff is how many symbols a call may be off.
	mostOff = 2
	// agreeing is how far apart contacts that agree are at most, noted from where on it
	// is told.
	agreeing, noted = 10 * time.Minute, 5 * time.Minute
	// onePass is how far apart contacts of one pass are at most.
	onePass = 30 * time.Minute
	// Around is how far from a contact those are that its verdict can hang on.
	Around = 90 * time.Minute
)

// near reports whether the base of a call is another or like it.
func near(base, other string) bool { return slip.Slips(base, other) <= mostOff }

// A Side is one of two operators, with all contacts of the time in question: those that
// aren't compared, too.
type Side struct {
	storage.Agreeing
	Contacts []storage.Contact
}

// from is a side that compares no contact of before a moment.
func (s Side) from(t time.Time) Side {
	if s.Since.Before(t) {
		s.Since = t
	}
	return s
}

// Kind is what a verdict comes to.
type Kind string

// The kinds of verdict.
const (
	Agreed  Kind = "agreed"
	Differs Kind = "differs"
	Missing Kind = "missing" // the other side has it
	Lacking Kind = "lacking" // the other side doesn't have it
)

// A Verdict is what is found of one contact of a side, or of one that it lacks.
type Verdict struct {
	Kind   Kind
	Mine   storage.Contact // none if it is missing
	Theirs storage.Contact // none if it is lacking
	Differences
}

// Differences are what is different about two contacts. The call and grid that are
// Theirs are those of the other station, which this side has logged otherwise.
type Differences struct {
	TheirCall, TheirGrid bool // this side has the other's wrong
	MyCall, MyGrid       bool // the other has this side's wrong
	Bird, Time           bool
}

func (d Differences) count() (n int) {
	for _, is := range []bool{d.TheirCall, d.TheirGrid, d.MyCall, d.MyGrid, d.Bird, d.Time} {
		if is {
			n++
		}
	}
	return n
}

// Apart is how far apart the two contacts are.
func (v Verdict) Apart() time.Duration { return v.Mine.Time.Sub(v.Theirs.Time).Abs() }

// Tells reports whether there is anything to be told: all but two contacts that agree to
// the minutes.
func (v Verdict) Tells() bool { return v.Kind != Agreed || v.Time }

// Judge holds two sides against each other. Busy reports whether a call is that of
// anybody who compares.
func Judge(mine, theirs Side, busy func(base string) bool) []Verdict {
	if mine.Call.Base() == theirs.Call.Base() {
		return nil
	}
	mine, theirs = mine.from(theirs.Since), theirs.from(mine.Since)
	ours, others := mine.naming(theirs.Call, busy), theirs.naming(mine.Call, busy)
	pairs := pairsOf(ours, others, mine.Call, theirs.Call)
	var found []Verdict
	beside, fits := map[side]bool{}, map[side]bool{}
	idle := func(p pair) bool { return !mine.Shares(p.a) || !theirs.Shares(p.b) }
	for _, p := range pairs {
		beside[p.mine()], beside[p.theirs()] = true, true
		if p.agrees() || idle(p) {
			fits[p.mine()], fits[p.theirs()] = true, true
		}
	}
	pairs = slices.DeleteFunc(pairs, idle)
	for _, p := range likeliest(slices.DeleteFunc(slices.Clone(pairs), func(p pair) bool { return !p.agrees() })) {
		found = append(found, Verdict{Agreed, p.a, p.b, p.Differences})
	}
	for _, p := range likeliest(slices.DeleteFunc(pairs, func(p pair) bool { return fits[p.mine()] || fits[p.theirs()] })) {
		found = append(found, Verdict{Differs, p.a, p.b, p.Differences})
	}
	for _, a := range alone(mine.shared(ours), theirs.Call, func(c storage.Contact) bool { return beside[side{id: c.ID}] }) {
		found = append(found, Verdict{Kind: Lacking, Mine: a})
	}
	for _, b := range alone(theirs.shared(others), mine.Call, func(c storage.Contact) bool { return beside[side{id: c.ID, theirs: true}] }) {
		found = append(found, Verdict{Kind: Missing, Theirs: b})
	}
	return found
}

// likeliest are those pairs, in their order, of which each contact is the other's likeliest.
func likeliest(pairs []pair) (all []pair) {
	first := map[side]pair{}
	for _, p := range slices.Backward(pairs) {
		first[p.mine()], first[p.theirs()] = p, p
	}
	for _, p := range pairs {
		if first[p.mine()].is(p) && first[p.theirs()].is(p) {
			all = append(all, p)
		}
	}
	return all
}

// alone are the contacts that name just a call and have none beside them, of those of one
// pass the first.
func alone(all []storage.Contact, call parse.Callsign, beside func(storage.Contact) bool) []storage.Contact {
	all = slices.DeleteFunc(all, func(c storage.Contact) bool { return c.Call.Base() != call.Base() || beside(c) })
	repeats := func(c storage.Contact) bool {
		return slices.ContainsFunc(all, func(o storage.Contact) bool {
			earlier := o.Time.Before(c.Time) || o.Time.Equal(c.Time) && o.ID < c.ID
			return earlier && o.Bird.Catalog == c.Bird.Catalog && c.Time.Sub(o.Time) <= onePass
		})
	}
	var first []storage.Contact
	for _, c := range all {
		if !repeats(c) {
			first = append(first, c)
		}
	}
	return first
}

// shared are those of contacts that are compared.
func (s Side) shared(all []storage.Contact) []storage.Contact {
	return slices.DeleteFunc(all, func(c storage.Contact) bool { return !s.Shares(c) })
}

// naming are the contacts in the log of a side that may be with a station, compared or not.
func (s Side) naming(call parse.Callsign, busy func(string) bool) []storage.Contact {
	var all []storage.Contact
	for _, c := range s.Contacts {
		said := c.Call.Base()
		if c.Exported() && c.Call.IsValid() && (said == call.Base() || near(said, call.Base()) && !busy(said)) {
			all = append(all, c)
		}
	}
	return all
}

// side names a contact of either side.
type side struct {
	id     uint64
	theirs bool
}

// pair is a contact of this side and one of the other that may be the same.
type pair struct {
	a, b storage.Contact
	Differences
}

func (p pair) mine() side           { return side{id: p.a.ID} }
func (p pair) theirs() side         { return side{id: p.b.ID, theirs: true} }
func (p pair) is(other pair) bool   { return p.a.ID == other.a.ID && p.b.ID == other.b.ID }
func (p pair) apart() time.Duration { return p.a.Time.Sub(p.b.Time).Abs() }

// agrees reports whether nothing differs but, by minutes, the time.
func (p pair) agrees() bool {
	d := p.Differences
	d.Time = false
	return d.count() == 0 && p.apart() <= agreeing
}

// pairsOf are the pairs that may be one contact, the likeliest first: in an order that is
// the same seen from either side.
func pairsOf(ours, others []storage.Contact, mine, theirs parse.Callsign) []pair {
	var all []pair
	for _, a := range ours {
		for _, b := range others {
			p := pair{a, b, differences(a, b, mine, theirs)}
			if p.apart() <= agreeing || !p.Bird && p.apart() <= onePass {
				all = append(all, p)
			}
		}
	}
	swapped := theirs.Base() < mine.Base()
	slices.SortFunc(all, func(p, q pair) int {
		if swapped {
			p.a, p.b, q.a, q.b = p.b, p.a, q.b, q.a
		}
		return cmp.Or(
			cmp.Compare(p.count(), q.count()), cmp.Compare(p.apart(), q.apart()),
			cmp.Compare(p.a.ID, q.a.ID), cmp.Compare(p.b.ID, q.b.ID),
		)
	})
	return all
}

// differences holds a contact of this side, which compares under a call, against one of
// the other.
func differences(a, b storage.Contact, mine, theirs parse.Callsign) Differences {
	rough := a.TimeSource == storage.FromPass || b.TimeSource == storage.FromPass
	apart := a.Time.Sub(b.Time).Abs()
	return Differences{
		TheirCall: a.Call.Base() != theirs.Base(), TheirGrid: !StoodIn(a.Grids, b.OwnGrids),
		MyCall: b.Call.Base() != mine.Base(), MyGrid: !StoodIn(b.Grids, a.OwnGrids),
		Bird: a.Bird.Catalog != b.Bird.Catalog, Time: apart > agreeing || !rough && apart > noted,
	}
}

// StoodIn reports whether the square of each grid that was given is one of those a station
// stood in.
func StoodIn(given, own []parse.Grid) bool {
	squares := parse.Squares(own)
	return !slices.ContainsFunc(given, func(g parse.Grid) bool { return !slices.Contains(squares, g.Square()) })
}

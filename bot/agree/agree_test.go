package agree

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/parse"
	"skyslate/storage"
)

var t0 = time.Date(2026, 9, 1, 13, 15, 0, 0, time.UTC)

// contact reads "OX9QZT JO33 by HX7KZQ in JO62 at 3" (minutes), and of the words behind
// that "on 2" (its bird), "about" (the time is the pass's) and "doubtful".
func contact(id uint64, text string) storage.Contact {
	c := storage.Contact{
		ID: id, State: storage.Certain, Bird: storage.BirdRef{Name: "OCHRE-1", Catalog: 1}, Time: t0,
		TimeSource: storage.FromMessage,
	}
	words := strings.Fields(text)
	c.Call = parse.MustParseCallsign(words[0])
	for i, w := range words {
		g, err := parse.ParseGrid(w)
		own := slices.Contains(words[:i], "in")
		switch {
		case err == nil && g.Chars() >= 4 && own:
			c.OwnGrids = append(c.OwnGrids, g)
		case err == nil && g.Chars() >= 4:
			c.Grids = append(c.Grids, g)
		case w == "by":
			c.OwnCall = parse.MustParseCallsign(words[i+1])
		case w == "at":
			var minutes int
			fmt.Sscan(words[i+1], &minutes)
			c.Time = t0.Add(time.Duration(minutes) * time.Minute)
		case w == "on":
			fmt.Sscan(words[i+1], &c.Bird.Catalog)
		case w == "about":
			c.TimeSource = storage.FromPass
		case w == "doubtful":
			c.State = storage.Doubtful
		}
	}
	return c
}

func sideOf(call string, texts ...string) Side {
	s := Side{Agreeing: storage.Agreeing{Call: parse.MustParseCallsign(call), Since: t0.Add(-time.Hour)}}
	for i, text := range texts {
		s.Contacts = append(s.Contacts, contact(uint64(i+1), text))
	}
	return s
}

func (v Verdict) String() string {
	words := []string{string(v.Kind), fmt.Sprintf("%d-%d", v.Mine.ID, v.Theirs.ID)}
	for i, is := range []bool{v.TheirCall, v.TheirGrid, v.MyCall, v.MyGrid, v.Bird, v.Time} {
		if is {
			words = append(words, []string{"their-call", "their-grid", "my-call", "my-grid", "bird", "time"}[i])
		}
	}
	return strings.Join(words, " ")
}

func texts(vs []Verdict) string {
	var all []string
	for _, v := range vs {
		all = append(all, v.String())
	}
	slices.Sort(all)
	return strings.Join(all, ", ")
}

func nobody(string) bool { return false }

func TestJudge(t *testing.T) {
	const right = "HX7KZQ JO62 by OX9QZT in JO33"
	for _, tt := range []struct{ name, mine, theirs, want string }{
		{"the same", "OX9QZT JO33 by HX7KZQ in JO62", right, "agreed 1-1"},
		{"out and about", "F/OX9QZT/P JO33 by HX7KZQ/P in JO62", right, "agreed 1-1"},
		{"a finer grid", "OX9QZT JO33ab by HX7KZQ in JO62qm", right, "agreed 1-1"},
		{"a finer grid elsewhere in it", "OX9QZT JO33ab by HX7KZQ in JO62", "HX7KZQ JO62 by OX9QZT in JO33cd", "agreed 1-1"},
		{"no grid", "OX9QZT by HX7KZQ in JO62", right, "agreed 1-1"},
		{"one grid of a line", "OX9QZT JO33 by HX7KZQ in JO62", "HX7KZQ JO62 by OX9QZT in JO33 JO43", "agreed 1-1"},
		{"a grid that is not of the line", "OX9QZT JO33 JO34 by HX7KZQ in JO62", "HX7KZQ JO62 by OX9QZT in JO33 JO43", "differs 1-1 their-grid"},
		{"five minutes", "OX9QZT JO33 by HX7KZQ in JO62 at 5", right, "agreed 1-1"},
		{"six minutes", "OX9QZT JO33 by HX7KZQ in JO62 at 6", right, "agreed 1-1 time"},
		{"six minutes, about", "OX9QZT JO33 by HX7KZQ in JO62 at 6 about", right, "agreed 1-1"},
		{"ten minutes", "OX9QZT JO33 by HX7KZQ in JO62 at 10", right, "agreed 1-1 time"},
		{"eleven minutes", "OX9QZT JO33 by HX7KZQ in JO62 at 11 about", right, "differs 1-1 time"},
		{"another pass", "OX9QZT JO33 by HX7KZQ in JO62 at 40", right, "lacking 1-0, missing 0-1"},
		{"another bird", "OX9QZT JO33 by HX7KZQ in JO62 on 2 at 1", right, "differs 1-1 bird"},
		{"another bird, eleven minutes", "OX9QZT JO33 by HX7KZQ in JO62 on 2 at 11", right, "lacking 1-0, missing 0-1"},
		{"their call", "OX9QZU JO33 by HX7KZQ in JO62", right, "differs 1-1 their-call"},
		{"their call, two off", "OX9QY JO33 by HX7KZQ in JO62", right, "differs 1-1 their-call"},
		{"their call, three off", "OX8QY JO33 by HX7KZQ in JO62", right, "missing 0-1"},
		{"both calls and both grids", "OX9QZU JO34 by HX7KZQ in JO62", "HX7KZA JO63 by OX9QZT in JO33", "differs 1-1 their-call their-grid my-call my-grid"},
		{"neither names the other", "OX9QZU JO33 by HX7KZQ in JO62", "HX7AAA JO62 by OX9QZT in JO33", ""},
		{"asked still", "OX9QZT JO33 by HX7KZQ in JO62 doubtful", right, "missing 0-1"},
		{"under another call", "OX9QZT JO33 by HX7AAB in JO62", right, ""},
		{"before it was switched on", "OX9QZT JO33 by HX7KZQ in JO62 at -61", right, "missing 0-1"},
		{"before it was switched on, of one pass", "OX9QZT JO33 by HX7KZQ in JO62 at -61", right + " at -32", ""},
		{"what differs from it, too", "OX9QZU JO33 by HX7KZQ in JO62 at -61", right + " at -55", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := Judge(sideOf("HX7KZQ", tt.mine), sideOf("OX9QZT/P", tt.theirs), nobody)
			if texts(got) != tt.want {
				t.Errorf("got %s\nwant %s", texts(got), tt.want)
			}
		})
	}
}

func TestJudgeSeveral(t *testing.T) {
	mine := sideOf("HX7KZQ", "OX9QZT JO34 by HX7KZQ in JO62", "OX9QZT JO33 by HX7KZQ in JO62 at 2", "OX9QZU JO33 by HX7KZQ in JO62 at 3")
	theirs := sideOf("OX9QZT", "HX7KZQ JO62 by OX9QZT in JO33 at 1", "HX7KZQ JO62 by OX9QZT in JO33 at 4")
	if got, want := texts(Judge(mine, theirs, nobody)), "agreed 2-1"; got != want {
		t.Errorf("what is wrong beside what agrees, one to one: %s, want %s", got, want)
	}
	again := sideOf("HX7KZQ", "OX9QZT JO33 by HX7KZQ in JO62", "OX9QZT JO33 by HX7KZQ in JO62 at 5")
	if got, want := texts(Judge(again, theirs, nobody)), "agreed 1-1, agreed 2-2"; got != want {
		t.Errorf("twice on both sides: %s, want %s", got, want)
	}
	once := sideOf("OX9QZT", "HX7KZQ JO62 by OX9QZT in JO33 at 4")
	if got, want := texts(Judge(again, once, nobody)), "agreed 2-1"; got != want {
		t.Errorf("one of the other's vouches for one, the nearest in time: %s, want %s", got, want)
	}
	if got, want := texts(Judge(once, again, nobody)), "agreed 1-2"; got != want {
		t.Errorf("the same seen from the other side: %s, want %s", got, want)
	}
	mine.Contacts = mine.Contacts[2:]
	if got, want := texts(Judge(mine, theirs, nobody)), "differs 3-2 their-call"; got != want {
		t.Errorf("of two that differ the nearest: %s, want %s", got, want)
	}
	theirs.Contacts[0].Time = theirs.Contacts[0].Time.Add(-time.Hour)
	if got, want := texts(Judge(sideOf("HX7KZQ"), theirs, nobody)), "missing 0-1, missing 0-2"; got != want {
		t.Errorf("of two passes: %s, want %s", got, want)
	}
	theirs.Contacts[0].Time = theirs.Contacts[0].Time.Add(time.Hour)
	other := func(base string) bool { return base == "OX9QZU" }
	if got, want := texts(Judge(mine, theirs, other)), "missing 0-1"; got != want {
		t.Errorf("a call that is somebody's: %s, want %s", got, want)
	}
	if got := Judge(mine, sideOf("HX7KZQ/P", "HX7KZQ JO62 by HX7KZQ in JO33"), nobody); len(got) > 0 {
		t.Errorf("oneself: %s", texts(got))
	}
}

// aSide draws a log of an operator that may name the other, or be off.
func aSide(r *rapid.T, call string, named ...string) Side {
	s := sideOf(call)
	for i := range rapid.IntRange(0, 5).Draw(r, "contacts") {
		pick := func(label string, of ...string) string { return rapid.SampledFrom(of).Draw(r, label) }
		text := fmt.Sprintf("%s %s by %s in %s on %s at %d %s", pick("call", named...), pick("grid", "JO33", "JO34", "JO33 JO34", "JO33ab", ""),
			pick("own", call, call, call, call+"/P", "HX7AAB"), pick("stood", "JO33", "JO34", "JO33 JO34", "JO33ab"), pick("bird", "1", "1", "1", "2"),
			rapid.IntRange(-70, 70).Draw(r, "at")/rapid.SampledFrom([]int{1, 5}).Draw(r, "near"), pick("more", "", "", "about", "doubtful"))
		s.Contacts = append(s.Contacts, contact(uint64(i+1), text))
	}
	return s
}

func mirrored(vs []Verdict) []Verdict {
	var all []Verdict
	for _, v := range vs {
		v.Mine, v.Theirs = v.Theirs, v.Mine
		v.TheirCall, v.TheirGrid, v.MyCall, v.MyGrid = v.MyCall, v.MyGrid, v.TheirCall, v.TheirGrid
		switch v.Kind {
		case Missing:
			v.Kind = Lacking
		case Lacking:
			v.Kind = Missing
		}
		all = append(all, v)
	}
	return all
}

var (
	namesOX = []string{"OX9QZT", "OX9QZT", "OX9QZT/P", "OX9QZU", "OX9QY", "VJ2FQX"}
	namesHX = []string{"HX7KZQ", "HX7KZQ", "F/HX7KZQ", "HX7KZA", "HX7KQZ", "VJ2FQX"}
)

func TestLawOfVerdicts(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		a, b := aSide(r, "HX7KZQ", namesOX...), aSide(r, "OX9QZT", namesHX...)
		busy := nobody
		if rapid.Bool().Draw(r, "busy") {
			busy = func(base string) bool { return base == "OX9QZU" || base == "HX7KQZ" }
		}
		mine := Judge(a, b, busy)
		if back := mirrored(Judge(b, a, busy)); texts(mine) != texts(back) {
			r.Fatalf("one side: %s\nthe other: %s", texts(mine), texts(back))
		}
		vouched := map[side]bool{}
		for _, v := range mine {
			if v.Kind != Agreed {
				continue
			}
			p := pair{a: v.Mine, b: v.Theirs}
			if vouched[p.mine()] || vouched[p.theirs()] {
				r.Fatalf("one contact vouches for two: %s", texts(mine))
			}
			vouched[p.mine()], vouched[p.theirs()] = true, true
			d := v.Differences
			if d.Time = false; d.count() > 0 || v.Mine.Call.Base() != "OX9QZT" || v.Theirs.Call.Base() != "HX7KZQ" ||
				v.Mine.Bird != v.Theirs.Bird || v.Apart() > 10*time.Minute {
				r.Fatalf("they agree, and differ: %v", v)
			}
		}
		// What names neither this side nor a call like it changes nothing.
		b.Contacts = append(b.Contacts, contact(9, rapid.SampledFrom([]string{
			"VJ2FQX JO62 by OX9QZT in JO33", "HX8AZQB JO62 by OX9QZT in JO33", "HX7KZQ JO62 by OX9QZT in JO33 doubtful",
		}).Draw(r, "else")))
		if now := Judge(a, b, busy); texts(now) != texts(mine) {
			r.Fatalf("before: %s\nnow: %s", texts(mine), texts(now))
		}
	})
}

// Nobody is told that something lacks which stands in a log, whenever either side switched
// it on, and nothing of before both did is compared.
func TestLawOfBefore(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		a, b := aSide(r, "HX7KZQ", namesOX...), aSide(r, "OX9QZT", namesHX...)
		a.Since = t0.Add(time.Duration(rapid.IntRange(-70, 70).Draw(r, "since")) * time.Minute)
		b.Since = t0.Add(time.Duration(rapid.IntRange(-70, 70).Draw(r, "theirs")) * time.Minute)
		stands := func(s Side, call string, c storage.Contact) bool {
			return slices.ContainsFunc(s.Contacts, func(o storage.Contact) bool {
				return o.Exported() && o.Call.Base() == call && o.Bird == c.Bird && o.Time.Sub(c.Time).Abs() <= onePass
			})
		}
		for _, v := range Judge(a, b, nobody) {
			lacks := v.Kind == Lacking && stands(b, "HX7KZQ", v.Mine) || v.Kind == Missing && stands(a, "OX9QZT", v.Theirs)
			for _, c := range []storage.Contact{v.Mine, v.Theirs} {
				if c.ID != 0 && (c.Time.Before(a.Since) || c.Time.Before(b.Since)) {
					r.Fatalf("%v is of before", v)
				}
			}
			if lacks {
				r.Fatalf("%v, though it is in the log", v)
			}
		}
	})
}

// What lies farther than Around from a contact changes nothing about it.
func TestLawOfReach(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		a, b := aSide(r, "HX7KZQ", namesOX...), aSide(r, "OX9QZT", namesHX...)
		all := Judge(a, b, nobody)
		at := t0.Add(time.Duration(rapid.IntRange(-70, 70).Draw(r, "at")) * time.Minute)
		around := func(s Side) Side {
			s.Contacts = slices.DeleteFunc(slices.Clone(s.Contacts), func(c storage.Contact) bool { return c.Time.Sub(at).Abs() > Around })
			return s
		}
		here := func(vs []Verdict) string {
			return texts(slices.DeleteFunc(slices.Clone(vs), func(v Verdict) bool {
				c := v.Mine
				if v.Kind == Missing {
					c = v.Theirs
				}
				return !c.Time.Equal(at)
			}))
		}
		if got, want := here(Judge(around(a), around(b), nobody)), here(all); got != want {
			r.Fatalf("around %s: %s, of all: %s", at.Format("15:04"), got, want)
		}
	})
}

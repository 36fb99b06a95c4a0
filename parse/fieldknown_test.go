package parse

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// knownNear knows stations that differ by one character from those of a line,
// some of them with grids of the line.
func (h fieldHand) knownNear(l truth) Known {
	k := Known{Own: MustParseCallsign("OX9QZT"), OwnGrids: []Grid{MustParseGrid("JO32")}, Birds: []string{"WICKET-1", "IO-86", "STILE 2"}}
	told := map[string]bool{}
	for _, c := range l.Contacts {
		told[c.Call] = true
	}
	add := func(call string, g string) {
		if c, err := ParseCallsign(call); err == nil && !told[call] && !isTyped(l.Text, call) {
			k.Heard = append(k.Heard, Station{Call: c, Grids: []Grid{MustParseGrid(g)}})
			if h.chance(30) {
				k.Heard[len(k.Heard)-1].Grids = nil
			}
		}
	}
	for _, c := range l.Contacts {
		call, err := ParseCallsign(c.Call)
		if err != nil {
			continue
		}
		base := call.Base()
		i := h.IntN(len(base))
		add(base[:i]+h.letters(1, fieldAlphabet+"0123456789")+base[i+1:], c.Grids[0][:4])
		add(base[:len(base)-1], h.square())
		add(base[1:], c.Grids[0][:4])
		add(base+h.letters(1, fieldAlphabet), h.square())
		add(h.call(), c.Grids[0][:4])
	}
	add(h.call(), h.square())
	h.Shuffle(len(k.Heard), func(i, j int) { k.Heard[i], k.Heard[j] = k.Heard[j], k.Heard[i] })
	k.Expected, k.Heard = k.Heard[:len(k.Heard)/3], k.Heard[len(k.Heard)/3:]
	k.Suffix = func(s string) (found []Callsign) {
		for _, st := range k.ending(s) {
			found = append(found, st.Call)
		}
		return found
	}
	k.Worked = func(c Callsign) []Grid { return []Grid{MustParseGrid(h.square())} }
	return k
}

// isTyped reports whether a text holds a call, or the end of it as a word: then
// it may well be meant.
func isTyped(text, call string) bool {
	for w := range strings.FieldsFuncSeq(upper(text), func(r rune) bool { return !isLetter(byte(r)) && !isDigit(byte(r)) }) {
		if len(w) > 2 && strings.HasSuffix(call, w) {
			return true
		}
	}
	return false
}

// Knowing other stations that look or sound alike makes nothing certain that
// isn't.
func TestFieldHandsKnowing(t *testing.T) {
	h := fieldHand{rand.New(rand.NewPCG(4, 26))}
	var c tally
	for range 20_000 {
		l := h.line()
		k := h.knownNear(l)
		if l.Expected == "log" { // asking beside a twin is no fault
			l.AlsoOK = append(l.AlsoOK, "ask")
		}
		c.score(t, l, k)
	}
	c.hold(t)
}

// Knowing the very station, and its grid, makes nothing certain but the truth.
func TestFieldHandsKnowingTruth(t *testing.T) {
	h := fieldHand{rand.New(rand.NewPCG(5, 26))}
	var c tally
	for range 20_000 {
		l := h.line()
		k := h.knownNear(l)
		for _, d := range l.Contacts {
			call, err := ParseCallsign(d.Call)
			if err != nil {
				continue
			}
			st := Station{Call: call}
			for _, g := range d.Grids {
				st.Grids = append(st.Grids, MustParseGrid(g))
			}
			if h.chance(30) {
				st.Grids = nil
			}
			k.Heard = append(k.Heard, st)
		}
		if l.Class == "unread" || l.Class == "misheard" {
			l.AlsoOK = append(l.AlsoOK, "log")
		}
		c.score(t, l, k)
	}
	c.hold(t)
}

// A conversation: what is known of the pass, and what a line means with it.
func TestFieldConversation(t *testing.T) {
	k := Known{
		Own: MustParseCallsign("OX9QZT"), OwnGrids: []Grid{MustParseGrid("JO32")}, Birds: []string{"WICKET-1", "IO-86", "STILE 2"},
		Heard: []Station{
			{MustParseCallsign("DI4ZAB"), []Grid{MustParseGrid("JO43")}},
			{MustParseCallsign("KD9XMP"), nil},
			{MustParseCallsign("HX2CAT"), []Grid{MustParseGrid("IO91")}},
			{MustParseCallsign("HX2BOB"), []Grid{MustParseGrid("IO92")}},
			{MustParseCallsign("JC7QQ"), []Grid{MustParseGrid("PM95")}},
			{MustParseCallsign("VB3QQ"), []Grid{MustParseGrid("FN03")}},
			{MustParseCallsign("VD3KLM/P"), []Grid{MustParseGrid("FN04")}},
			{MustParseCallsign("L73EN"), []Grid{MustParseGrid("GF05")}},
			{MustParseCallsign("PX1JO"), []Grid{MustParseGrid("GG66")}},
			{MustParseCallsign("PX1QSL"), []Grid{MustParseGrid("GG67")}},
			{MustParseCallsign("XB2CDE"), []Grid{MustParseGrid("DL80"), MustParseGrid("DL81")}},
		},
		Worked:    func(Callsign) []Grid { return []Grid{MustParseGrid("EN52")} },
		Reachable: func(g Grid) bool { return !slices.Contains([]string{"RE66", "QF22"}, g.Square().String()) },
	}
	var c tally
	for _, s := range []string{
		"log/ask | DI4ZAB JO43 | zab jo43", "ask | - | zab jo44", "log/ask | DI4ZAB JO43 | zab", "ask | - | xmp",
		"log/ask | KD9XMP EN52 | xmp en52", "log/ask | HX2CAT IO91 | cat io91", "ignore/ask | - | the cat sat", "ignore/ask | - | my cat",
		"ask | DI4ZAB JO43 | zab nil", "ask | DI4ZAB JO43 | heard zab", "ask | DI4ZAB JO43 | zab again?", "ask | DI4ZAB JO43 | not zab",
		"ask | HX2BOB IO92 | bob io92", "ask | - | bob jo43", "ignore/ask | - | bob", "ignore/ask | - | bob says hi", "ignore/ask | - | thanks bob",
		"log/ask | DI4ZAB JO43 | di4zab 59", "ask | - | di4zab?", "ask | - | di4zab jo4", "ask | - | di4zab jo", "ask | - | di4zab 44", "log/ask | DI4ZAB JO43 | di4zab 43",
		"ask | - | di4zac", "log/ask | DI4ZAC JO43 | di4zac jo43", "ask | - | di4zab or di4zac", "ask | - | di4zab nil", "ask | - | lost di4zab", "ask | - | di4zab calling",
		"ask | - | kd9xmp", "ask | - | kd9xmp 59", "ask | - | kd9xmp en5", "ask | - | qq jo22", "ask | - | qq", "ask | - | 3qq fn0", "log/ask | VB3QQ FN03 | 3qq fn03",
		"log/ask | DI4ZAB JO43 | OX9QZT de DI4ZAB JO43", "log/ask | DI4ZAB JO43 | di4zab jo43 de ox9qzt jo32", "log/ask | DI4ZAB JO43 | di4zab jo43 ox9qzt jo32", "log/ask | DI4ZAB JO43 | ox9qzt jo32 di4zab jo43",
		"log/ask | DI4ZAB JO43 | di4zab jo43, me jo32", "ignore/ask | - | ox9qzt jo32", "ignore/ask | - | cq ox9qzt jo32", "ignore/ask | - | ox9qzt/p jo32", "ask | - | di4zab my grid jo32",
		"ignore/ask | - | io86", "ignore/ask | - | io-86", "ignore/ask | - | wicket-1", "ignore/ask | - | wicket-1 next", "log/ask | DI4ZAB JO43 | wicket-1 di4zab jo43", "log/ask | DI4ZAB JO43 | di4zab jo43 io-86", "log/ask | DI4ZAB JO43 | di4zab jo43 on io86",
		"ask | - | di4zab on io-86", "ask | - | klm fn05", "log/ask | VD3KLM/P FN04 | klm fn04", "log/ask | VD3KLM/P FN04 | klm", "ask | - | vd3klm fn0", "ask | VD3KLM | vd3klm",
		"ask | - | en 43", "ignore/ask | - | en route", "ignore/ask | - | jo is here", "ask | - | jo 43", "ask | - | jo43", "ignore/ask | - | qsl", "ignore/ask | - | qsl tnx", "ask | - | qsl jo43", "ask | - | qsl gg67",
		"ask | XB2XYZ RE66 | xb2xyz re66", "ask | DI4ZAB RE66 | di4zab re66", "ask | - | zab re66", "ask | DI4ZAB JO43 | zab jo43 maybe", "log/ask | XB2CDE DL80 DL81 | cde dl80/81", "log/ask | XB2CDE DL80 | cde dl80", "ask | - | cde dl82", "log/ask | XB2CDE DL80 DL81 | cde", "ask | - | cde hx2abc", "ask | - | cde zab",
		"ask | - | zab klm jo43", "log/ask | DI4ZAB JO43; VD3KLM/P FN04 | zab jo43 klm fn04", "log/ask | DI4ZAB JO43; VD3KLM/P FN04 | zab, klm", "ask | - | zab43", "log/ask | DI4ZAB JO43 | zab jo4?", "ask | - | z?b jo43", "ask | - | di4??? jo43",
		"ask | - | hx2 jo43", "log/ask | HX2ABC IO91 | hx2abc io91", "ask | - | hx2 cat jo43", "ask | - | hx2cat 91?", "ask | - | hx2cat 92", "log/ask | HX2CAT IO91 | hx2cat 91",
		"ask | - | zulu alpha bravo", "log/ask | DI4ZAB JO43 | zulu alpha bravo juliet oscar four three", "ask | - | alpha bravo juliet oscar four three", "ask | - | zulu alpha juliet oscar four three",
		"ignore/ask | - | 43", "ignore/ask | - | 59", "ignore/ask | - | 73", "ignore/ask | - | 1742", "ignore/ask | - | lost my hat", "ignore/ask | - | nothing",
		"log/ask | DI4ZAB/P JO43 | di4zab/p jo43", "ask | - | di4zab/p", "ask | - | zab/p", "log/ask | DI4ZAB/P JO43 | zab/p jo43", "ask | - | no, jo4", "ask | - | ab jo43", "ask | - | b jo43", "log/ask | DI4ZAB JO43 | 4zab", "log/ask | DI4ZAB JO43 | 4zab jo43",
		"ask | DI4ZAB JO43 | zab came back but no grid", "ask/log | DI4ZAB JO43 | zab again", "ask/log | DI4ZAB JO43 | zab 59 now", "ask/log | DI4ZAB JO43 | zab still there", "ask | - | zab on hx2abc", "ask | - | zab for hx2abc jo43",
		"ask | DI4ZAB JO43 | is zab in jo43", "ask | DI4ZAB JO43 | did i get zab", "ask | DI4ZAB JO43 | need zab", "ask | DI4ZAB JO43 | undo zab", "ask | DI4ZAB JO43 | zab was a mistake", "ask | DI4ZAB JO43 | zab wrong",
		"ask | DI4ZAB JO43 | remove di4zab", "ask | DI4ZAB JO43 | di4zab gone", "ask | DI4ZAB JO43 | who is di4zab", "ask | DI4ZAB JO43 | di4zab not worked", "ask | DI4ZAB JO43 | di4zab didn't hear me", "ask | - | di4zab again in jo44?", "ask | DI4ZAB JO43 | di4zab next pass", "ask | DI4ZAB JO43 | tell di4zab hi",
	} {
		c.score(t, fieldLine(t, "conversation", s), k)
	}
	c.hold(t)
}

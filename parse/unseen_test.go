package parse

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
)

// The sets below are made, not recorded: words, layouts and noise of our own,
// other than those of the public set. Each maker returns a line and the
// contacts that it tells; whatever else is logged is wrong.

// maker makes lines from a seeded source.
type maker struct {
	*rand.Rand
	words map[byte][]string // spoken words by symbol
}

// made is a line with its truth. If must is set, asking is needless.
type made struct {
	text  string
	truth []string
	must  bool
}

func newMaker(t testing.TB, seed uint64) *maker {
	m := &maker{rand.New(rand.NewPCG(seed, 14)), map[byte][]string{}}
	for _, row := range authority(t, "reading/phonetics.csv") {
		if sym := row["symbol"]; len(sym) == 1 && row["class"] != "control" && !strings.HasPrefix(row["class"], "foreign") {
			if row["confidence"] == "sure" || row["confidence"] == "context" && row["class"] != "homophone" && row["class"] != "letter_name" && row["kind"] == "letter" {
				m.words[sym[0]] = append(m.words[sym[0]], row["token"])
			}
		}
	}
	return m
}

func (m *maker) one(list ...string) string { return list[m.IntN(len(list))] }

func (m *maker) letter(from string) byte { return from[m.IntN(len(from))] }

// call makes an ordinary call of a form that no administration assigns.
func (m *maker) call() string {
	for {
		prefix := m.one("OX", "HX", "DI", "VB", "JC", "Y3", "P8", "2Z", "6P", "K", "W", "N", "AB", "KD", "WX", "XB", "4Q", "F", "G", "R", "EM", "JO", "IN", "L7", "3J", "EN", "KN")
		var s strings.Builder
		s.WriteString(prefix + string(m.letter("0123456789")))
		for range 1 + m.IntN(3) {
			s.WriteString(string(m.letter("ABCDEFGHIJKLMNOPQRSTUVWXYZ")))
		}
		if c, err := ParseCallsign(s.String()); err == nil && c.Class() == Valid {
			return s.String()
		}
	}
}

func (m *maker) grid() string {
	const fields = "ABCDEFGHIJKLMNOPQR"
	s := string([]byte{m.letter(fields), m.letter(fields), m.letter("0123456789"), m.letter("0123456789")})
	if m.IntN(5) == 0 {
		s += string([]byte{m.letter(fields), m.letter(fields)})
	}
	return s
}

func (m *maker) cased(s string) string {
	switch m.IntN(3) {
	case 0:
		return strings.ToLower(s)
	case 1:
		return s[:1] + strings.ToLower(s[1:])
	}
	return s
}

// spoken says symbols with the given words: standard ones, or any in use.
func (m *maker) spoken(s string, wild bool) []string {
	var out []string
	for i := range len(s) {
		if s[i] == '/' {
			out = append(out, m.one("stroke", "slash"))
			continue
		}
		list := m.words[s[i]]
		w := list[0]
		if wild || m.IntN(4) == 0 {
			w = list[m.IntN(len(list))]
		}
		if isDigit(s[i]) && m.IntN(3) == 0 {
			w = s[i : i+1]
		}
		out = append(out, w)
	}
	return out
}

var remarks = []string{
	"big signal", "good copy on the second try", "super strong today", "a bit of fading", "thanks for the contact",
	"new one for me", "first qso with this one", "he was weak", "nice op", "from the beach", "qsl via the bureau",
	"audio a little distorted", "quick exchange", "says hello", "running 5w", "on a hand held antenna", "he is portable on a hill too",
	"via so-124", "with a yagi", "at the end of the pass", "right before los", "great to hear him again", "tnx fer qso", "cu agn", "fb sig",
	"5w and a whip", "in the car", "clear as a bell", "very low on the horizon", "doppler was bad", "up 5 khz", "on 145.925", "435.310 down",
}

var chatters = []string{
	"aos in 10", "los at 1523", "nothing heard yet", "too many people on top of each other", "the bird is quiet", "where is everybody",
	"antenna cable is broken again", "switching to the other bird", "going home now", "rain starting, packing up", "coffee first",
	"145.800 is dead today", "tone 67.0 set", "need a new battery", "that was fun", "peak 47 deg at 15:12", "next one at 18:40",
	"max elevation 73", "battery 60 percent", "my arm hurts", "dog barking at the antenna", "the 2m side is deaf", "good pass",
	"someone whistling on the uplink", "in 5 min", "ok ready", "test 1 2 3", "hello test", "73 to all", "thanks all, 73", "qrm from a car",
	"sun in my eyes", "golf club next to me is loud", "hotel wifi is bad", "mike says hi from the other hill", "lima beans for lunch",
	"romeo is barking", "back in 20", "gone for lunch until 13:30", "temp 31 c", "wind 12 kn", "rst 59 from everybody", "no contacts this time",
	"b4 los i will try again", "gr8 pass", "g2g", "battery at 12v", "shift is 5 khz at the end", "az 210 el 33", "100 km drive home", "on top of the hill",
	"only one station today", "heard two stations only", "parked at the lake", "fm 18 is rare", "look at the moon", "it is 20 C", "arrived", "set up done",
}

// typedLine is a contact typed in one of many layouts, with remarks beside it.
func (m *maker) typedLine() made {
	call, grid := m.call(), m.grid()
	if m.IntN(8) == 0 {
		call += m.one("/P", "/M", "/QRP", "/4", "/MM")
	}
	c, g := m.cased(call), m.cased(grid)
	t := m.one("%s %s", "%s  %s", "%s, %s", "%s in %s", "%s %s", "%s grid %s", "%s from %s", "%s - %s", "%s: %s", "%s/%s", "%s (%s)", "%s qth %s", "%s loc %s", "%s . %s", "%s;%s", "%s @ %s", "%s = %s", "%s > %s")
	a, b := c, g
	if m.IntN(3) == 0 && !strings.Contains(t, " in ") {
		a, b = g, c
	}
	s := fmt.Sprintf(t, a, b)
	must := !strings.Contains(t, ";") && !(t == "%s/%s" && (strings.Contains(call, "/") || len(grid) > 4))
	switch m.IntN(4) {
	case 0:
		s += m.one(" ", ", ", " - ", ". ") + m.one(remarks...)
		must = must && !strings.Contains(s, "try")
	case 1:
		s = m.one("worked ", "got ", "qso with ", "logged ", "just got ", "copied ", "yes! ", "wkd ", "and ") + s
	case 2:
		s += m.one(" 59", " 1542z", " :07", " 15:42", " 55", " +3:05", " 73", " fb", " tu", " op anna", " name bill", " Bob", " 59 73", " 5/9", " qsl")
	}
	return made{s, []string{contactKey(call, []string{grid})}, must && !strings.Contains(s, "portable")}
}

// spokenLine is a contact spoken in a row.
func (m *maker) spokenLine() made {
	call, grid := m.call(), m.grid()
	if m.IntN(10) == 0 {
		call += "/" + m.one("P", "M", "4")
	}
	c := strings.Join(m.spoken(call, m.IntN(2) == 0), " ")
	g := strings.Join(m.spoken(grid, m.IntN(4) == 0), " ")
	s := c + m.one(" grid ", " in ", " from ", " grid square ", ", ", " locator ", ". ", " ") + g
	if m.IntN(4) == 0 {
		s = g + m.one(" ", ", ") + c
	}
	if m.IntN(4) == 0 {
		s = m.one("worked ", "got ", "okay, ", "and ", "next one ", "copied ") + s
	}
	return made{m.cased(s), []string{contactKey(call, []string{grid})}, false}
}

// misheardLine is a spoken contact with one word that dictation made
// of something else.
func (m *maker) misheardLine() made {
	call, grid := m.call(), m.grid()
	all := append(m.spoken(call, m.IntN(2) == 0), "grid")
	if m.IntN(2) == 0 {
		all = all[:len(all)-1]
	}
	all = append(all, m.spoken(grid, false)...)
	for range 1 {
		all[m.IntN(len(all))] = m.one("vodka", "brother", "kilter", "sheriff", "apricot", "window", "robot", "galaxy", "tornado", "of", "a", "see", "you", "why", "sulu", "meek", "popper", "gecko", "motel", "lemon", "folks", "hello", "rodeo", "carly", "beta", "hotal", "inky", "nova", "oscillate", "kebab", "roam", "tangy", "unicorn", "vector", "whisker", "zoo", "hey")
	}
	return made{strings.Join(all, " "), []string{contactKey(call, []string{grid})}, false}
}

// brokenLine is a typed contact with spaces put where they don't belong.
func (m *maker) brokenLine() made {
	call, grid := m.call(), m.grid()[:4]
	s := m.cased(call + grid)
	if m.IntN(3) > 0 {
		s = m.cased(call) + " " + m.cased(grid)
	}
	if m.IntN(4) == 0 {
		s = m.cased(grid) + " " + m.cased(call)
	}
	for range 1 + m.IntN(2) {
		i := 1 + m.IntN(len(s)-1)
		s = s[:i] + m.one(" ", " ", "-", ".") + s[i:]
	}
	return made{s, []string{contactKey(call, []string{grid})}, false}
}

// slippedLine is a typed contact with a slip that leaves no call or no grid.
func (m *maker) slippedLine() made {
	for {
		call, grid := m.call(), m.grid()[:4]
		c, g := []byte(call), []byte(grid)
		word := &c
		if m.IntN(2) == 0 {
			word = &g
		}
		i := m.IntN(len(*word))
		const keys = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
		switch m.IntN(4) {
		case 0:
			(*word)[i] = m.letter(keys)
		case 1:
			*word = slices.Delete(*word, i, i+1)
		case 2:
			*word = slices.Insert(*word, i, m.letter(keys))
		case 3:
			*word = slices.Insert(*word, i, (*word)[i])
		}
		_, gridOK := makeGrid(string(g))
		if callClass(string(c)) == Valid && gridOK && len(g) >= 4 {
			continue // nobody could see it
		}
		return made{m.cased(string(c)) + " " + m.cased(string(g)), []string{contactKey(call, []string{grid})}, false}
	}
}

// heapLine is several contacts on one line, one of them perhaps without a grid.
func (m *maker) heapLine() made {
	sep := m.one(", ", "; ", " and ", " then ", " / ", " + ", " ", "\n", " & ", ". ")
	var parts, truth []string
	lacks := m.IntN(2) == 0
	n := 2 + m.IntN(2)
	gridFirst := m.IntN(4) == 0
	for i := range n {
		c, g := m.call(), m.grid()
		a, b := m.cased(c), m.cased(g)
		if gridFirst {
			a, b = b, a
		}
		part := a + " " + b
		if lacks && i == m.IntN(n) {
			part = m.cased(c)
		} else {
			truth = append(truth, contactKey(c, []string{g}))
		}
		parts = append(parts, part)
	}
	return made{strings.Join(parts, sep), truth, false}
}

// deniedLine is a contact that the line takes back.
func (m *maker) deniedLine() made {
	call, grid := m.cased(m.call()), m.cased(m.grid())
	t := m.one("heard %s %s", "%s %s not in log", "%s %s nil", "%s in %s calling me, no qso", "%s %s lost him", "hrd %s %s", "no contact with %s %s", "need %s %s",
		"%s %s tomorrow", "%s from %s, not sure", "almost got %s %s", "%s %s no reply", "did not work %s %s", "didn't work %s %s", "missed %s %s", "%s %s?", "is %s in %s?", "maybe %s %s",
		"%s will be in %s", "looking for %s in %s", "%s calling cq from %s", "i think %s %s", "%s %s but no copy", "tried %s %s", "%s %s incomplete", "only heard %s in %s", "wanted: %s %s", "%s %s is calling")
	return made{fmt.Sprintf(t, call, grid), nil, false}
}

// dictatedLine is a spoken contact as a phone writes it down: capitals, commas
// at pauses, figures for some figures, symbols glued, a typed start or end.
func (m *maker) dictatedLine() made {
	call, grid := m.call(), m.grid()[:4]
	words := func(s string) (out []string) {
		for i := 0; i < len(s); i++ {
			w := m.words[s[i]][0]
			switch {
			case isDigit(s[i]) && m.IntN(2) == 0:
				w = s[i : i+1]
				for m.IntN(2) == 0 && i+1 < len(s) && isDigit(s[i+1]) {
					i++
					w += s[i : i+1]
				}
			case s[i] == 'X':
				w = m.one("x-ray", "X ray", "Xray", "ex-ray")
			}
			if m.IntN(3) == 0 {
				w = strings.ToUpper(w[:1]) + w[1:]
			}
			out = append(out, w+m.one("", "", "", "", "", ",", "."))
		}
		return out
	}
	_, cut := runOn(call, grid)
	all := words(call)
	if n := strings.IndexAny(call, "0123456789") + 1; m.IntN(4) == 0 && n < len(call) {
		all = append([]string{m.cased(call[:n])}, words(call[n:])...)
	}
	all = append(all, m.one("grid", "Grid square", "in", "from", "locator", ""))
	if m.IntN(4) == 0 {
		all = append(all, m.cased(grid))
	} else {
		all = append(all, words(grid)...)
	}
	if m.IntN(4) == 0 {
		all = append(all, m.one("thanks.", "good signal", "59", "five nine", "73"))
	}
	return made{strings.Join(all, " "), []string{contactKey(call, []string{grid})}, !cut}
}

// wornLine is a typed contact as keyboards and apps wear it down: wide and
// foreign characters, accents, emoji, quotes, odd spaces.
func (m *maker) wornLine() made {
	l := m.typedLine()
	r := []rune(l.text)
	for range 1 + m.IntN(3) {
		i := m.IntN(len(r))
		switch c := r[i]; {
		case m.IntN(4) == 0:
			r = slices.Insert(r, i, []rune(m.one("\u200b", "\u200e", "\ufe0f", "\u00ad"))...)
		case c == ' ':
			r[i] = []rune(m.one("\u00a0", "\u202f", "\u3000", "\t"))[0]
		case '!' <= c && c <= '~':
			r[i] = c - '!' + '！'
		}
	}
	l.text = m.one("", "", "✅ ", "“", "> ", "- ", "* ") + string(r) + m.one("", "", " 👍", "”", "!!", " 🎉🎉", " ❤️")
	l.must = l.must && !strings.Contains(l.text, "* ") && !strings.HasPrefix(l.text, "> ")
	return l
}

func (m *maker) chatterLine() made { return made{m.one(chatters...), nil, true} }

func TestUnseenLines(t *testing.T) {
	sets := []struct {
		name string
		make func(*maker) made
		need float64 // most needless questions and misses, of those that must
	}{
		{"typed", (*maker).typedLine, 0.03},
		{"spoken", (*maker).spokenLine, 1},
		{"misheard", (*maker).misheardLine, 1},
		{"broken", (*maker).brokenLine, 1},
		{"slipped", (*maker).slippedLine, 1},
		{"dictated", (*maker).dictatedLine, 0.05},
		{"worn", (*maker).wornLine, 0.05},
		{"heap", (*maker).heapLine, 1},
		{"denied", (*maker).deniedLine, 1},
		{"chatter", (*maker).chatterLine, 0.05},
	}
	for _, set := range sets {
		t.Run(set.name, func(t *testing.T) {
			seed, n := uint64(20261124), 4000
			if os.Getenv("SEED") != "" {
				fmt.Sscan(os.Getenv("SEED"), &seed)
				n = 40000
			}
			m := newMaker(t, seed)
			var log, ask, ignore, must, needless int
			shown := 0
			for range n {
				l := set.make(m)
				lines := Read(l.text, Known{Own: MustParseCallsign("OX9QZT"), Birds: []string{"SO-124"}})
				v := overall(lines)
				switch v {
				case Log:
					log++
				case Ask:
					ask++
				default:
					ignore++
				}
				for _, key := range logged(lines) {
					if !slices.Contains(l.truth, key) {
						if shown++; shown < 20 {
							t.Errorf("wrong log %s of %q (%v)", key, l.text, l.truth)
						}
					}
				}
				if os.Getenv("ASKED") == set.name && v != Log && rand.IntN(60) == 0 {
					t.Logf("asked %v %q: %v %v", v, l.text, l.truth, lines[0].Contacts)
				}
				if l.must {
					must++
					if want := pick(len(l.truth) > 0, Log, Ignore); v != want {
						if needless++; testing.Verbose() && needless < 15 {
							t.Logf("needless %v of %q: %v", v, l.text, lines[0].Contacts)
						}
					}
				}
			}
			t.Logf("%d lines, seed %d: log %d, ask %d, ignore %d, wrong %d, needless %d of %d", n, seed, log, ask, ignore, shown, needless, must)
			if float64(needless) > set.need*float64(must) {
				t.Errorf("%d of %d asked or missed without need", needless, must)
			}
		})
	}
}

func pick[T any](cond bool, yes, no T) T {
	if cond {
		return yes
	}
	return no
}

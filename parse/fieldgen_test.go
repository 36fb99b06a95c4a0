package parse

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// fieldHand writes invented lines as one of many operators would.
type fieldHand struct{ *rand.Rand }

// pick returns one of the words of a list that "|" separates.
func (h fieldHand) pick(list string) string {
	all := strings.Split(list, "|")
	return all[h.IntN(len(all))]
}

func (h fieldHand) chance(percent int) bool { return h.IntN(100) < percent }

func (h fieldHand) letters(n int, of string) string {
	b := make([]byte, n)
	for i := range b {
		b[i] = of[h.IntN(len(of))]
	}
	return string(b)
}

const fieldAlphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

// call invents a call in forms that no administration assigns.
func (h fieldHand) call() string {
	digit := h.letters(1, "0123456789")
	switch h.IntN(10) {
	case 0, 1, 2:
		return h.letters(1, "KNW") + h.letters(1, "ABCDEFGIJKM") + digit + "X" + h.letters(2, fieldAlphabet)
	case 3:
		return h.pick("L7|P8|Y3|D3|2Z|2B|4Q|9B|3J|6P|2Q") + digit + h.letters(2+h.IntN(2), fieldAlphabet)
	case 4:
		return h.letters(1, "KNW") + digit + "X" + h.letters(h.IntN(2), fieldAlphabet)
	default:
		return h.pick("DI|HX|HY|JB|JC|PX|XB|XG|VB|VD|VJ|AN|EE|KA|KX") + digit + h.letters(2+h.IntN(2), fieldAlphabet)
	}
}

func (h fieldHand) square() string {
	return h.letters(2, fieldAlphabet[:18]) + h.letters(2, "0123456789")
}

func (h fieldHand) grid() string {
	g := h.square()
	if h.chance(15) {
		g += strings.ToLower(h.letters(2, fieldAlphabet[:24]))
		if h.chance(10) {
			g += h.letters(2, "0123456789")
		}
	}
	return g
}

// cased writes in one of the ways in which a phone leaves case.
func (h fieldHand) cased(s string) string {
	switch h.IntN(5) {
	case 0, 1, 2:
		return strings.ToLower(s)
	case 3:
		return strings.ToUpper(s)
	}
	return title(strings.ToLower(s))
}

const (
	fieldSeps    = " | | | | |, |,|; |/| / | - |-| -> | → | @ | in | from | grid |: | | |\t|. |  | … | = | · | – |—| at | loc | qth | (%)| [%]"
	fieldReports = "59|57|5/9|5x9|599|5nn|59+|55|5-9|r59|s9|5 by 9|59/59|59 57"
	fieldNames   = "hans|doug|maria|jean|carl|ines|op hans|name maria|op: carl"
	fieldTails   = "73|tnx 73|tu|qsl via buro|qsl direct|nice signal|very loud|a bit weak|deep fading|new grid!|new one|540 km|1240km|5w|100 watts|loop antenna|handheld|on the beach|sunny and cold|435.300|145.990 up|tone 67.0|az 140|max el 64|2nd time|1st qso|fb|pse qsl|good audio|strong qrm|👍|😀|!!|.|...|:)|wi|wisconsin|qrp|fm|24.11.2026|2026-11-24|nr 12|thanks|great|over the hill|wind 20 kmh|12 degrees|tx 5 w|on holiday|first time worked|50% copy at start then fine|yagi 5 el|az140|az 23 el 40|rain|s9+20|14c|via the bird|clear|gl|cu|bcnu"
	fieldHeads   = "ok|got|wkd|worked|log|yes|1.|2)|- |• |#3|1742|17:42|1742z|:42|59|qso|w/|nice|finally|and|also|plus|just worked|wow|hi|now|roger|0942|good morning|new one:|new:"
	fieldDenials = "heard %|% heard|% heard only|hrd %|nil %|% nil|% not in log|not in log %|lost %|% lost him|% lost|missed %|% missed|% no copy|no copy %|maybe %|% maybe|probably %|% probably|almost %|almost worked %|almost had %|% almost|% no qso|no qso %|no qso with %|% not worked|not worked %|% incomplete|incomplete %|% didn't come back|% no answer|% no reply|% didnt hear me|% couldnt hear me|couldn't work %|could not work %|% not sure|not sure %|not sure about %|% unsure|% i think|i think %|% calling cq|% calling|% was calling|calling %|% too weak to work|% gone before exchange|need %|still need %|looking for %|% wanted|tomorrow %|sked %|sked with % tomorrow|% sked|% nothing back|% faded before i got the report|% tailended, no luck|% failed|failed %|% no joy|% didn't make it|never got %|% never came back|% was not able to complete|% unconfirmed|% not confirmed|do not log %|don’t log %|% do not log|% doubtful|% questionable|not % ?|%?|% ??|% possibly|possibly %|could be %|might be %|might have been %|guess %|% a guess|% ignored me|% only heard|only heard %|just heard %|% rx only|swl %|% swl|listen to %|% on the list|no luck with %|did not get %|% did not get him|tried %|tried to call %|called %|called % but nothing|% dupe|% is wrong|wrong: %|% wrong grid|% busted|bust %|cancel %|delete %|scratch %|remove %|% remove|strike %"
	fieldChatter = "the|a|we|are|at|on|top|of|hill|antenna|battery|is|low|nice|pass|today|many|stations|birds|very|noisy|calling|cq|can't|hear|anything|2|3|12|43|59|73|door|gate|b12|e204|zin11|mp3|m25|exit|km|h2o|zt60|rg58|pl259|usb2|10w|5w|am|pm|17:42|1742|mike|oscar|papa|hotel|golf|india|lima|quebec|victor|juliet|romeo|x-ray|sierra|november|in|en|on|no|joe|jon|go|aa|dm|fm|cn|em|qth|loc|grid|home|car|lunch|coffee|sun|rain|tone|67|hz|145.9|435.3|mhz|ok|lol|:)|!|?|…|w/|/p|qrp|qrm|qsb|qsl|buro|email|covid19|t2d2|b2b|iso9001|rh452|zo50|ro91|io86|iss|rs44|jo97"
)

// fieldSaid holds how dictation writes letters and digits, the standard first.
var fieldSaid = map[byte]string{
	'A': "alpha|alfa|Alpha", 'B': "bravo|Bravo", 'C': "charlie|Charlie", 'D': "delta|Delta", 'E': "echo|Echo", 'F': "foxtrot|fox trot|Foxtrot",
	'G': "golf|Golf", 'H': "hotel|Hotel", 'I': "india|India", 'J': "juliet|juliett|Juliet", 'K': "kilo|Kilo", 'L': "lima|Lima", 'M': "mike|Mike",
	'N': "november|November", 'O': "oscar|Oscar", 'P': "papa|Papa", 'Q': "quebec|Quebec", 'R': "romeo|Romeo", 'S': "sierra|Sierra", 'T': "tango|Tango",
	'U': "uniform|Uniform", 'V': "victor|Victor", 'W': "whiskey|whisky|Whiskey", 'X': "x-ray|xray|X-ray|x ray", 'Y': "yankee|Yankee", 'Z': "zulu|Zulu",
	'0': "zero|0|zero", '1': "one|1", '2': "two|2", '3': "three|3|tree", '4': "four|4|fower", '5': "five|5|fife", '6': "six|6", '7': "seven|7", '8': "eight|8", '9': "nine|9|niner",
}

// say spells letters and digits as dictation writes them.
func (h fieldHand) say(s string) []string {
	var out []string
	for i := range len(s) {
		if s[i] == '/' {
			out = append(out, h.pick("stroke|slash"))
			continue
		}
		out = append(out, h.pick(fieldSaid[upperByte(s[i])]))
	}
	return out
}

// spoken dictates a call and a grid; digits of the grid may come merged.
func (h fieldHand) spoken(call, grid string) string {
	c, g := h.say(call), h.say(grid)
	if h.chance(50) {
		g = append(append(g[:2:2], grid[2:4]), g[4:]...)
	}
	sep := h.pick(" |, | grid | grid square | locator | in | from |. ")
	a, b := strings.Join(c, " "), strings.Join(g, " ")
	if h.chance(10) {
		a = strings.Join(c, "-")
	}
	switch h.IntN(6) {
	case 0:
		b = grid
	case 1:
		a = call
		if h.chance(50) {
			a = h.cased(call)
		}
	}
	return a + sep + b + h.pick("||.|, 59| 73| over")
}

// typed writes a call and a grid with what stands between them.
func (h fieldHand) typed(call, grid string) string {
	a, b := h.cased(call), h.cased(grid)
	if h.chance(20) {
		a, b = b, a
		return a + h.pick(" | | |, | de |: |; | from |/| - |-") + b
	}
	switch h.IntN(14) {
	case 0:
		return a + b
	case 1:
		return a + " " + h.pick(fieldReports) + " " + b
	case 2:
		return a + " " + h.pick(fieldNames) + " " + b
	case 3:
		return a + " " + a + " " + b
	case 4:
		if len(grid) == 4 && !strings.Contains("AA AH AM AN EH EL GM HE HI IN KM LA LO ME MI NO OH OK OP OR PA", grid[:2]) {
			return a + " " + b[:2] + " " + b[2:]
		}
	}
	sep := h.pick(fieldSeps)
	if strings.Contains(sep, "%") {
		return a + strings.Replace(sep, "%", b, 1)
	}
	return a + sep + b
}

// dressed adds what people write around a contact.
func (h fieldHand) dressed(s string) string {
	if h.chance(20) {
		s = h.pick(fieldHeads) + " " + s
	}
	if h.chance(25) {
		s += " " + h.pick(fieldReports)
	}
	if h.chance(12) {
		s += " " + h.pick(fieldNames)
	}
	if h.chance(12) {
		s += " " + h.pick(":42|1742|17:42|1742z|at 42|+4:10|17:42z|17.42z")
	}
	for h.chance(30) {
		s += h.pick(" | |, |; |. ") + h.pick(fieldTails)
	}
	return s + h.pick("||||| |.|. |\n|\r\n")
}

var fieldOrdinary = regexp.MustCompile(`^([BFGIKMNRW]|[A-PR-Z][A-Z]|[A-PR-Z][2-9]|[2-9][A-Z])[0-9][A-Z]{1,4}$`)

// slip damages one character as a thumb does.
func (h fieldHand) slip(s string) string {
	i := h.IntN(len(s))
	near := map[byte]string{'0': "op", '1': "qw", '2': "qwe", '3': "wer", '4': "ert", '5': "rty", '6': "tyu", '7': "yui", '8': "uio", '9': "iop"}
	switch h.IntN(5) {
	case 0:
		return s[:i] + s[i+1:]
	case 1:
		return s[:i] + s[i:i+1] + s[i:]
	case 2:
		return s[:i] + h.letters(1, fieldAlphabet) + s[i:]
	case 3:
		for j := range len(s) {
			if n := near[s[j]]; n != "" && h.chance(60) {
				return s[:j] + strings.ToUpper(h.letters(1, n)) + s[j+1:]
			}
		}
	}
	return s[:i] + h.letters(1, fieldAlphabet+"0123456789") + s[i+1:]
}

// line writes a line of one of the kinds.
func (h fieldHand) line() truth {
	call, grid := h.call(), h.grid()
	truthOf := func(c, g string) string { return c + " " + g }
	mark := ""
	if h.chance(8) {
		mark = h.pick("/P|/M|/MM|/R|/QRP|/5")
	}
	switch h.IntN(12) {
	case 0, 1:
		return makeTruth("typed", h.dressed(h.typed(call+mark, grid)), "log", truthOf(call+mark, grid))
	case 2:
		return makeTruth("spoken", h.spoken(call, grid), "log", truthOf(call, grid))
	case 3:
		pair := h.typed(call+mark, grid)
		if h.chance(15) {
			pair = h.spoken(call, grid)
			mark = ""
		}
		return makeTruth("denied", strings.Replace(h.pick(fieldDenials), "%", pair, 1), "ask", truthOf(call+mark, grid))
	case 4:
		return h.several(call, grid)
	case 5:
		return h.denialAmong(call, grid)
	case 6:
		return h.damaged(call, grid)
	case 7:
		return h.unread(call, grid)
	case 8:
		return h.misheard(call, grid)
	case 9:
		words := make([]string, 1+h.IntN(9))
		for i := range words {
			words[i] = h.pick(fieldChatter)
		}
		if h.chance(60) { // a number beside spelled words can be meant as a call
			words = slices.DeleteFunc(words, func(w string) bool {
				return strings.Contains("mike|oscar|papa|hotel|golf|india|lima|quebec|victor|juliet|romeo|x-ray|sierra|november", w)
			})
		} else {
			words = slices.DeleteFunc(words, func(w string) bool { return strings.ContainsAny(w, "0123456789") })
		}
		return makeTruth("chatter", strings.Join(words, " "), "ignore/ask", "-")
	case 10:
		return h.corrected(call, grid)
	default:
		return h.script(call, grid)
	}
}

func (h fieldHand) several(call, grid string) truth {
	truthOf := []string{call + " " + grid}
	s := h.cased(call) + h.pick(" | | |-|/|: |, |=") + h.cased(grid)
	numbered := h.chance(10)
	if numbered {
		s = "1. " + s
	}
	for n := 2; n == 2 || h.chance(40); n++ {
		c, g := h.call(), h.square()
		if h.chance(25) {
			s += h.pick(" 59| 57|, 59| :42| 1742| hans")
		}
		s += h.pick("\n|\n|; |, |. | | + | & | and | also | plus | then | / | \\| |\r\n|\n\n| — ")
		if numbered {
			s += fmt.Sprint(n, ". ")
		}
		s += h.cased(c) + " " + h.cased(g)
		truthOf = append(truthOf, c+" "+g)
	}
	s = strings.ReplaceAll(s, `\|`, "|")
	s = strings.ReplaceAll(s, `\`, "|")
	return makeTruth("several", s, "log", strings.Join(truthOf, "; "))
}

func (h fieldHand) denialAmong(call, grid string) truth {
	c, g := h.call(), h.square()
	good := h.cased(call) + " " + h.cased(grid)
	bad := strings.Replace(h.pick(fieldDenials), "%", h.cased(c)+" "+h.cased(g), 1)
	sep := h.pick("\n|; |. |, |, but ")
	s := good + sep + bad
	if h.chance(25) {
		s = bad + h.pick("\n|; ") + good
	}
	return makeTruth("denied among", s, "one", "+"+call+" "+grid+"; "+c+" "+g)
}

func (h fieldHand) damaged(call, grid string) truth {
	grid = grid[:4]
	c, g := call, grid
	if h.chance(50) {
		c = h.slip(c)
	} else {
		g = h.slip(g)
	}
	s := h.cased(c) + h.pick(" | |, | 59 | in |-") + h.cased(g)
	_, gridOK := makeGrid(g)
	gridOK = gridOK && len(g) >= 4
	switch {
	case fieldOrdinary.MatchString(c) && gridOK: // can't be seen by form
		return makeTruth("damaged", s, "log/ask", c+" "+g)
	case gridOK && callClass(c) == Valid:
		return makeTruth("damaged", s, "ask/log", c+" "+g)
	default:
		return makeTruth("damaged", s, "ask/log", call+" "+grid)
	}
}

func (h fieldHand) unread(call, grid string) truth {
	grid = grid[:4]
	wild := h.pick("?|??|..|...|*|_|__|…")
	c, g := h.cased(call), h.cased(grid)
	cut := func(s string) string {
		i := h.IntN(len(s))
		return s[:i] + wild + s[min(len(s), i+1+h.IntN(2)):]
	}
	if h.chance(65) {
		c = cut(c[:len(c)-1]) + c[len(c)-1:]
	} else {
		g = cut(g)
	}
	return makeTruth("unread", c+h.pick(" | |, | 59 | in ")+g, "ask", call+" "+grid)
}

// misheard dictates with a symbol that dictation made another word of.
func (h fieldHand) misheard(call, grid string) truth {
	grid = grid[:4]
	c, g := h.say(call), h.say(grid)
	word := h.pick("something|blue|garbage|apples|static|window|brother|holiday|Tuesday|um|pizza|tablet|mother|whatever|noise|unreadable|mumble|elephant|carpet")
	if h.chance(65) {
		c[h.IntN(len(c))] = word
	} else {
		g[h.IntN(len(g))] = word
	}
	return makeTruth("misheard", strings.Join(c, " ")+h.pick(" |, | grid | in ")+strings.Join(g, " "), "ask", call+" "+grid)
}

func (h fieldHand) corrected(call, grid string) truth {
	grid = grid[:4]
	c, g := h.cased(call), h.cased(grid)
	fix := h.pick(" no | no, |, no | no wait | sorry | sorry, | correction | correction: | i mean | rather | oops | err | hmm | wait | make that | should be | scratch that | no no | *| -> | => ")
	if h.chance(50) {
		return makeTruth("corrected", c+" "+h.cased(h.square())+fix+g, "log/ask", call+" "+grid)
	}
	return makeTruth("corrected", h.cased(h.call())+fix+c+" "+g, "log/ask", call+" "+grid)
}

// script writes as other keyboards, programs and habits do.
func (h fieldHand) script(call, grid string) truth {
	s := h.cased(call) + " " + h.cased(grid)
	verdict := "log/ask"
	switch h.IntN(7) {
	case 0:
		s = strings.Map(func(r rune) rune {
			if r > ' ' && r < 127 {
				return r - 0x21 + 0xff01
			}
			return r
		}, s)
		verdict = "log"
	case 1:
		s = strings.NewReplacer("A", "А", "B", "В", "E", "Е", "K", "К", "M", "М", "H", "Н", "O", "О", "P", "Р", "C", "С", "T", "Т", "X", "Х").Replace(s)
	case 2:
		i := h.IntN(len(s))
		s = s[:i] + h.pick("\u200b|\u200d|\u2060|\ufeff|\u200e|\u00ad|\u202c") + s[i:]
	case 3:
		s = strings.Replace(s, " ", h.pick("\u00a0|\u2009|\t|\u3000|\u202f|\u2003"), 1)
		verdict = "log"
	case 4:
		s = strings.Map(func(r rune) rune {
			if isDigit(byte(r)) && r < 128 {
				return r - '0' + '०'
			}
			return r
		}, s)
	case 5:
		s = h.pick("\u202b|\u2067|\u200f|🇩🇪 |👉 |»|„|\ufeff") + s + h.pick("\u202c|\u2069|\u200f| 🛰️|«|“|")
	case 6:
		s += h.pick(" спасибо| ありがとう| 谢谢| شكرا| ευχαριστώ| merci| gracias| danke")
	}
	return makeTruth("script", s, verdict, call+" "+grid)
}

// Lines of many invented hands.
func TestFieldHands(t *testing.T) {
	h := fieldHand{rand.New(rand.NewPCG(20, 26))}
	var c tally
	for range 20_000 {
		c.score(t, h.line(), Known{})
	}
	c.hold(t)
}

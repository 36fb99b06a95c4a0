package parse

// A number with the form of a time need not be the contact's. What follows tells
// by its neighbours whether it is something else (a year, a member's number, the
// end of the pass: a comment), or a time that can't be taken as it stands (local,
// before a mark: asked). Common practice; no source.

// zones follow a time that is not in UTC.
var zones = wordSet(`am pm local lt cet cest mez mesz wet west bst ist eet eest msk est edt cst cdt mst mdt pst pdt jst aest aedt nzst nzdt sast ago o'clock oclock uhr heures`)

// announcers stand before a number or time that is not the contact's.
var announcers = wordSet(`licensed licenced member membership since born year anno founded established est built serial pin room code zip box id ref
qrt los aos tca peak dinner lunch breakfast supper brunch net meeting until till sunset sunrise sked skd start starts starting ends end ending closes closing opens opening
leaves leaving left departs departure arrives arrival home bed train bus ferry flight plane church school tomorrow tonight yesterday pass orbit next award qrb distance ratio score
summit altitude height asl freq frequency channel model happy you again later house flat street phone tel km dxcc total nr number no back due before curfew alarm wedding party
concert match game film movie show class lecture exam shift on`)

// wordSet makes a set of words.
func wordSet(list string) map[string]bool {
	m := map[string]bool{}
	eachWord(list, func(w string) { m[w] = true })
	return m
}

// isSaidOfOther reports whether the time or number at word i is announced as
// something else than the contact's time.
func (l *lattice) isSaidOfOther(i int) bool {
	j, at := l.announcer(i)
	if j < 0 || !announcers[l.words[j].s] {
		return false
	}
	figures := l.words[i].shape == hasDigit
	switch l.words[j].s {
	case "los", "aos", "tca", "peak", "end", "start":
		return !l.isPlaced(j)
	case "you", "again", "later", "back", "before", "on":
		return at
	case "happy":
		return at || figures && (l.words[i].s[:2] == "19" || l.words[i].s[:2] == "20")
	case "no", "nr", "number", "total", "orbit":
		return at || figures
	case "pass":
		return j > 0 && l.words[j-1].s == "next"
	}
	return at || !l.isPlaced(j)
}

// isPlaced reports whether word j is where or when something was, not what comes:
// "from home", "before los", "at the start".
func (l *lattice) isPlaced(j int) bool {
	for k := j - 1; k >= 0 && k > j-3; k-- {
		switch l.words[k].s {
		case "the", "my", "his", "her", "a", "an", "our":
		case "from", "at", "in", "on", "near", "before", "after", "right", "just", "by", "via", "with":
			return true
		default:
			return false
		}
	}
	return false
}

// announcer returns the word that announces the number at word i, -1 if there is
// none, and whether "at" or the like stands between.
func (l *lattice) announcer(i int) (j int, at bool) {
	for j = i - 1; j >= 0 && j > i-7 && l.words[j+1].gap&^(space|colon|hash|other) == 0; j-- {
		switch l.words[j].s {
		case "at", "around", "about", "by":
			at = true
		case "is", "was", "in", "the", "no", "nr", "number":
			if announcers[l.words[j].s] && (j == 0 || !announcers[l.words[j-1].s]) {
				return j, at
			}
		default:
			return j, at
		}
	}
	return -1, at
}

// untaken reports whether word i is a time that can't be taken as it stands: not
// in UTC, before the mark, or after a word that nobody knows to speak of the
// contact.
func (l *lattice) untaken(i int) bool {
	t := &l.words[i]
	if !l.timeLike(i) {
		return false
	}
	if t.gap&minus != 0 || l.inZone(i+1) {
		return true
	}
	if i > 0 && l.words[i-1].s == "minus" && t.shape == hasDigit && i+1 < len(l.words) && unitLen(" "+l.words[i+1].s) > 0 {
		return true
	}
	if d := digitsAt(t.s, 0); t.shape == hasDigit|hasLetter {
		j, _ := l.announcer(i)
		return t.s[d:] != "am" && t.s[d:] != "pm" || j < 0 || l.words[j].shape&hasDigit != 0
	}
	return l.saidOfUnknown(i) || l.betweenTimes(i)
}

// betweenTimes reports whether the time at word i may be the contact's or that of
// what it came before or after: "before los 19:30".
func (l *lattice) betweenTimes(i int) bool {
	j, at := l.announcer(i)
	if j < 1 || at {
		return false
	}
	switch l.words[j].s {
	case "los", "aos", "tca":
		return l.words[j-1].s == "before" || l.words[j-1].s == "after"
	}
	return false
}

// saidOfUnknown reports whether "at" stands before the time at word i, and before
// that a thing that need not be of the contact: "pizza at 19:30".
func (l *lattice) saidOfUnknown(i int) bool {
	j, at := l.announcer(i)
	if !at || j < 0 || l.words[j].shape != hasLetter || l.words[j].means != 0 || l.words[j].spells.trust != unspelled || announcers[l.words[j].s] {
		return false
	}
	if _, ok := clockOf(l.words[i].s); !ok {
		return false
	}
	return !l.isPlaced(j) && (j == 0 || l.words[j-1].means&namer == 0)
}

// timeLike reports whether word i has the form of a time or of a span of time.
func (l *lattice) timeLike(i int) bool {
	t := &l.words[i]
	switch d := digitsAt(t.s, 0); {
	case t.shape&offsetish != 0 || d > 4:
		return false
	case t.shape&clockLike != 0:
		return d <= 2
	case t.shape == hasDigit:
		return len(t.s) == 4 || l.isSpan(i)
	case t.shape == hasDigit|hasLetter:
		return t.gap&minus != 0 || t.s[d:] == "am" || t.s[d:] == "pm"
	}
	return false
}

// isSpan reports whether "minus" stands before the number at word i.
func (l *lattice) isSpan(i int) bool { return i > 0 && l.words[i-1].s == "minus" }

// inZone reports whether the words from i on put the time before them in a zone.
func (l *lattice) inZone(i int) bool {
	if i >= len(l.words) || l.words[i].gap&^space != 0 {
		return false
	}
	s := l.words[i].s
	next := ""
	if i+1 < len(l.words) {
		next = l.words[i+1].s
	}
	switch s {
	case "a", "p":
		return next == "m" && l.words[i+1].gap == stop
	case "my", "his", "her", "our", "their":
		return next == "time"
	case "utc", "gmt", "z":
		return next != "" && l.words[i+1].gap&(plus|hyphen) != 0 && l.words[i+1].shape&hasDigit != 0
	}
	return zones[s]
}

package parse

import "strings"

// What looks like doubt, or like a symbol, may be a remark beside a contact that
// is complete. Common practice; no source.

// doubtsOther reports whether word i, which doubts elsewhere, speaks of something
// else than the contact: "nearly took my antenna", "maybe 3 degrees", "will qsl".
func (r *reader) doubtsOther(i int) bool {
	next := i + 1
	if i < r.firstEnd() || next >= len(r.words) {
		return r.wordIs(i, "try", "tries") && r.countedTry(i)
	}
	t := &r.words[next]
	switch r.words[i].s {
	case "nearly", "almost":
		return r.isAny(next, " dead empty dark home asleep frozen drowned drowning ") || isComment(t.s) && r.isAny(next+1, " my the a an in into off over from on our ") && !r.ofContact(next+1)
	case "maybe":
		return t.shape&hasDigit != 0 && (isMeasure(t.s) || r.measures(next)) && !r.isAny(next+1, " min mins minute minutes percent sure ")
	case "will":
		return r.isAny(next, " qsl lotw eqsl upload ")
	case "needs", "need":
		return r.isAny(next, " me us my ") && r.wordIs(next+1, "for") && !r.ofContact(next+1)
	case "think", "thought":
		return r.isAny(i-1, " neighbours neighbors people they wife kids family ") && r.isAny(next, " im i'm i we ")
	case "try":
		return r.countedTry(i)
	}
	return false
}

// countedTry reports whether word i is the try that succeeded: "on the third try".
func (r *reader) countedTry(i int) bool {
	return r.isAny(i-1, " first second third fourth fifth sixth 1st 2nd 3rd 4th 5th 6th ") && r.isAny(i-2, " on at the my his ")
}

// ofContact reports whether one of the next words from i on is the contact or a
// part of it.
func (r *reader) ofContact(i int) bool {
	for j := i; j < len(r.words) && j < i+4; j++ {
		if r.isAny(j, " contact qso call callsign grid him her it them report exchange pass bird sat log suffix locator chance window turn ") {
			return true
		}
	}
	return false
}

// firstEnd returns where the first element ends.
func (r *reader) firstEnd() int {
	if len(r.elems) == 0 {
		return len(r.words)
	}
	return r.elems[0].to
}

// findComplete finds where the first contact that is typed whole ends: a call and
// a grid side by side. Zero if there is none.
func (l *lattice) findComplete() {
	for i := 0; i+1 < len(l.words); i++ {
		for j := i + 1; j < len(l.words) && j < i+3; j++ {
			if l.isTypedCall(i) && l.isWholeGrid(j) || l.isWholeGrid(i) && l.isTypedCall(j) {
				l.complete = j + 1
				return
			}
			if l.words[j].means&part == 0 {
				break
			}
		}
	}
}

// isTypedCall reports whether word i is an ordinary call as it is typed.
func (l *lattice) isTypedCall(i int) bool {
	t := &l.words[i]
	return t.shape == hasLetter|hasDigit && len(t.s) >= 4 && len(t.s) <= maxBase && t.means == 0 && !l.isWholeGrid(i) && callClass(upper(t.s)) == Valid
}

// isRemark reports whether the spoken symbol at word i is an ordinary word or a
// name: it stands alone somewhere behind a contact that is typed whole.
func (l *lattice) isRemark(i int) bool {
	t := &l.words[i]
	if l.complete == 0 || i < l.complete || t.phrase > 1 || t.within != unspelled {
		return false
	}
	if t.s == "seventy" && i+1 < len(l.words) && l.words[i+1].s == "three" || t.s == "three" && l.words[i-1].s == "seventy" {
		return true // a greeting
	}
	if i == l.complete && isDigit(t.spells.syms[0]) {
		return false
	}
	return !l.symbolAt(i-1) && !l.symbolAt(i+1) || l.nicknamed(i) || i > l.complete && l.nicknamed(i-1)
}

// symbolAt reports whether word i is a symbol, spoken or typed.
func (l *lattice) symbolAt(i int) bool {
	if i < l.complete || i >= len(l.words) {
		return false
	}
	t := &l.words[i]
	return t.spells.trust >= loose && !t.spells.filler && (t.means&^(name|small) == 0 || t.spells.trust == plain) ||
		t.within != unspelled || len(t.s) == 1 && t.s != "i" && t.s != "a" || t.shape&hasDigit != 0 && len(t.s) <= 3 && !isMeasure(t.s)
}

// nicknamed reports whether two words from i on are a name that is announced:
// "friend papa jack".
func (l *lattice) nicknamed(i int) bool {
	if i == 0 || i+2 < len(l.words) && l.words[i+2].gap&pause == 0 || i+1 >= len(l.words) || l.words[i+1].means&name == 0 {
		return false
	}
	switch l.words[i-1].s {
	case "friend", "buddy", "uncle", "aunt", "cousin", "brother", "sister", "dog", "cat", "son", "daughter", "wife", "husband", "called", "mate", "neighbour", "neighbor":
		return i > l.complete
	}
	return false
}

// isFigureOfSpeech reports whether the digit at word i, behind a contact that is
// typed whole, is a word or a sign: "4 the win", "<3", "at 9".
func (l *lattice) isFigureOfSpeech(i int) bool {
	t := &l.words[i]
	if l.complete == 0 || i <= l.complete-1 || t.shape != hasDigit || len(t.s) > 2 {
		return false
	}
	next := ""
	if i+1 < len(l.words) && l.words[i+1].gap == space {
		next = l.words[i+1].s
	}
	switch t.s {
	case "4", "2":
		switch next {
		case "the", "me", "him", "her", "us", "my", "his", "all", "ever", "fun", "now", "today":
			return true
		}
	case "3":
		if t.gap&other != 0 && next == "" {
			return true
		}
	}
	if next == "past" || next == "after" || i == l.complete && len(t.s) == 2 && !isComment(next) {
		return false // minutes, or the square beside the one before
	}
	if next != "" && len(next) > 2 && l.words[i+1].spells.trust == unspelled && l.words[i+1].shape == hasLetter && (l.words[i+1].means&^(small|well|unit|counted) == 0 && l.words[i+1].means != 0 || isComment(next)) {
		return t.gap&^(space|comma|hyphen) == 0 // "2 dogs barking"
	}
	if i > l.complete && next == "" {
		switch l.words[i-1].s {
		case "he's", "hes", "she's", "shes", "i'm":
			return true
		case "is", "was":
			return l.words[i-2].s == "he" || l.words[i-2].s == "she" || l.words[i-2].s == "op"
		}
	}
	if i > l.complete+1 && l.words[i-1].s == "at" && next == "" {
		switch l.words[i-2].s {
		case "you", "again", "later", "cu", "back", "home":
			return true
		}
	}
	return false
}

// remarked reports whether a mark before word i says that a comment begins:
// "note: …", "// …", a bracket. What it holds need not be in any list, unless its
// form doubts or denies.
func (r *reader) remarked(i int) bool {
	if r.complete == 0 || r.words[i].undone() {
		return false
	}
	for j := r.complete; j <= i; j++ {
		g := r.words[j].gap
		if from := r.words[j-1].to; g&slash != 0 && strings.HasPrefix(strings.TrimLeft(r.f.s[from:], " "), "//") {
			return true
		}
		if g&bracket != 0 && strings.ContainsAny(r.f.s[r.words[j-1].to:r.words[j].from], "([{") {
			return true
		}
		if j < i && r.isAny(j, " note notes cmt comment comments rem remark remarks ps nb fyi btw ") && (r.words[j+1].gap&colon != 0 || r.endsElement(j) && !r.isAny(j, " comment comments notes ")) {
			return true
		}
	}
	return false
}

// doubtsGrid reports whether word i, which doubts, stands before the grid:
// "probably the grid".
func (r *reader) doubtsGrid(i int) bool {
	if r.isAny(i, " need needs needed missed want wants wanted no later if schedule sked ") {
		return false
	}
	next := i + 1
	for r.isAny(next, " the his her a ") {
		next++
	}
	return r.isAny(next, " grid loc locator square ") && !r.startsElement(next+1)
}

// isStretched reports whether a word is one that comments are made of, with a
// letter held: "yesss".
func isStretched(s string) bool {
	var once, twice []byte // runs of three or more as one letter, and as two
	held := false
	for i := 0; i < len(s); {
		n := 1
		for i+n < len(s) && s[i+n] == s[i] {
			n++
		}
		k := n
		if n > 2 {
			held, k = true, 1
		}
		once = append(once, s[i:i+k]...)
		twice = append(twice, s[i:i+min(n, 2)]...)
		i += n
	}
	if !held {
		return false
	}
	for _, w := range [...][]byte{once, twice} {
		if m := words[string(w)]; m&(small|well) != 0 && m&(denies|doubts|refuses|heard) == 0 || isComment(string(w)) {
			return true
		}
	}
	return false
}

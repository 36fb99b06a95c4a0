package parse

import (
	"cmp"
	"slices"
	"strings"
)

// cue is a word that says something about the contact beside it.
type cue struct {
	at  int
	why Why // Denied or Doubted
}

// findCues finds the words that deny or doubt, among those that belong to no
// part of a contact.
func (r *reader) findCues() {
	for _, a := range r.path {
		if a.kind != skipped {
			continue
		}
		if why := r.cueAt(int(a.from)); why != "" {
			r.cues = append(r.cues, cue{int(a.from), why})
		}
	}
	if len(r.elems) > 0 && (r.elems[0].from == 0 && strings.Contains(r.f.s[:r.words[0].from], "?") || r.endsAsking() || r.wondersAfter()) {
		r.cues = append(r.cues, cue{r.elems[len(r.elems)-1].to - 1, Doubted})
	}
	if len(r.elems) > 0 && sulks(r.f.s) {
		r.cues = append(r.cues, cue{r.elems[len(r.elems)-1].to - 1, Doubted})
	}
	for i := range r.elems {
		e := &r.elems[i]
		if !r.asked(e.to) {
			continue
		}
		if r.openCall(e) {
			e.doubt |= eitherWay
		} else {
			r.cues = append(r.cues, cue{e.to - 1, Doubted})
		}
	}
}

// openCall reports whether a question mark is glued to a typed call: a letter may
// be missing there.
func (r *reader) openCall(e *element) bool {
	end := r.words[e.to-1].to
	return e.kind == callArc && e.to == e.from+1 && end > 0 && r.f.s[end-1] == '?'
}

// sulks reports whether a line holds a face that is not glad.
func sulks(s string) bool {
	for at := strings.IndexByte(s, ':'); at >= 0 && at+1 < len(s); {
		face, _, _ := strings.Cut(s[at:], " ")
		switch face {
		case ":(", ":((", ":-(", ":'(", ":/", ":-/", ":|", ":-|":
			return true
		}
		next := strings.IndexByte(s[at+1:], ':')
		if next < 0 {
			return false
		}
		at += 1 + next
	}
	return false
}

// endsAsking reports whether the line ends in a question mark after what stands
// beside the last contact: "…, 59?".
func (r *reader) endsAsking() bool {
	if r.after&query == 0 {
		return false
	}
	for i := r.elems[len(r.elems)-1].to; i < len(r.words); i++ {
		if a := r.at[i]; a.kind == skipped && !r.wordIs(i, "73", "over", "k") {
			return false
		}
	}
	return true
}

// asked reports whether a question mark stands before word i or at the end.
func (r *reader) asked(i int) bool {
	if i < len(r.words) {
		return r.words[i].gap&query != 0
	}
	return r.after&query != 0
}

// cueAt says what word i denies or doubts, "" if nothing.
func (r *reader) cueAt(i int) Why {
	why := r.listedCue(i)
	if why != "" || len(r.elems) == 0 || i > 0 && r.words[i-1].means&namer != 0 && nameless[r.words[i].s] {
		return why
	}
	if r.notMine(i) {
		return Doubted
	}
	if r.words[i].means&(denies|doubts|refuses|heard) == 0 && !r.wordIs(i, "no", "not") {
		why = r.formCue(i)
	}
	return why
}

// listedCue says what word i denies or doubts by the lists of words.
func (r *reader) listedCue(i int) Why {
	t := &r.words[i]
	switch {
	case t.s == "no" || t.s == "not":
		return r.negation(i)
	case t.s == "lost" && r.wordIs(i+1, "him", "her", "them", "it", "you", "contact", "qso"):
		return Denied
	case len(r.elems) > 0 && (t.means&refuses != 0 || r.outdone(i)):
		return Denied
	case r.wonders(i):
		return Doubted
	case t.s == "hear" && r.wordIs(i-1, "to"):
		return ""
	case t.means&heard != 0 && r.wordIs(i-1, "for") && r.wordIs(i-2, "tks", "thanks", "tnx", "thx", "thank", "you"):
		return "" // "thanks for calling"
	case t.means&heard != 0:
		return Denied
	case t.s == "wrong" || t.s == "incorrect":
		return Doubted
	case (t.s == "sounds" || t.s == "sounded") && (i+1 < len(r.words) && !r.wordIs(i+1, "like") && r.praises(i+1)):
		return ""
	case strings.HasPrefix(t.s, "guess"), t.means&doubts != 0 && t.means&denies == 0 && r.doubtsGrid(i):
		return Doubted
	case t.means&(denies|doubts) == 0 || r.onlyItself(i+1), t.means&denies == 0 && r.doubtsOther(i):
		return ""
	case t.means&denies != 0:
		return Denied
	}
	return Doubted
}

// outdone reports whether the words at i tell what kept the contact from being
// made: "too weak to work", "gone before the exchange", "rx only".
func (r *reader) outdone(i int) bool {
	t := &r.words[i]
	switch t.s {
	case "work", "copy", "complete", "finish", "log", "read", "hear", "decode", "make":
		return r.wordIs(i-1, "to") && (r.wordIs(i-3, "too") || r.wordIs(i-4, "too"))
	case "before":
		j := i + 1
		for r.wordIs(j, "the", "a", "my", "his", "her", "any", "i", "we", "he", "she", "got", "could", "can") {
			j++
		}
		return r.wordIs(j, "exchange", "report", "reports", "grid", "completing", "finishing", "completion", "confirmation", "answer", "answering", "get", "copy", "finish", "complete")
	case "only":
		return r.wordIs(i-1, "rx") || r.wordIs(i+1, "rx")
	case "up", "out", "off", "over", "on":
		return i > 0 && givenUp[r.words[i-1].s] == t.s
	case "else":
		return r.wordIs(i-1, "someone", "somebody", "anyone")
	case "working":
		return r.wordIs(i+1, "others", "dx", "someone", "somebody", "another")
	case "nothing":
		return !r.wordIs(i+1, "else", "special", "more", "new", "wrong", "fancy", "yet")
	case "lost":
		return !r.onlyItself(i + 1)
	case "rx", "seen", "deaf":
		return i == 0 || i+1 == len(r.words)
	case "vain":
		return r.wordIs(i-1, "in")
	case "success", "luck":
		return r.wordIs(i-1, "without", "no")
	case "gone":
		return i+1 == len(r.words) && (i == 0 || !r.wordIs(i-1, "is", "bird", "sat", "now", "signal"))
	case "way":
		return r.wordIs(i-1, "one")
	case "listen", "listening", "listened":
		return r.wordIs(i+1, "to") && !r.wordIs(i+2, "me", "us")
	case "scratch":
		return r.startsElement(i + 1)
	}
	return false
}

// givenUp are words for a contact that broke off, with the second one.
var givenUp = map[string]string{
	"gave": "up", "give": "up", "ran": "out", "dropped": "out", "timed": "out", "cut": "off", "walked": "over", "talked": "over", "stepped": "on",
}

// wonders reports whether the words at i leave open whether there was or will be
// a contact: "who is …", "going to …", "… or so", "half a contact", "on the list".
func (r *reader) wonders(i int) bool {
	switch r.words[i].s {
	case "who", "is", "did", "does", "has", "was", "were", "where", "when", "anyone", "anybody":
		return i == 0
	case "there":
		return i == 0 && r.wordIs(1, "is", "was")
	case "like":
		return r.wordIs(i-1, "something", "seems", "seemed", "looks", "looked")
	case "copy":
		return r.wordIs(i-1, "bad", "poor")
	case "check":
		return r.wordIs(i+1, "call", "callsign", "grid", "it", "this", "later", "log")
	case "test":
		return i == 0 || i+1 == len(r.words)
	case "next", "last", "coming":
		return i+2 == len(r.words) && r.endsElement(i) && r.wordIs(i+1, "week", "pass", "orbit", "month", "year", "night", "up")
	case "hunting", "chasing":
		return r.startsElement(i + 1)
	case "watch", "listen":
		return r.wordIs(i+1, "for")
	case "me":
		return r.startsElement(i+1) && !r.wordIs(i-1, "gave", "give", "gives", "sent", "told")
	case "my":
		for i++; i < len(r.words) && r.words[i].means&part != 0; i++ {
		}
		return r.startsElement(i)
	case "going", "heading", "headed", "moving":
		return r.wordIs(i+1, "to") && r.startsElement(i+2)
	case "so":
		return r.wordIs(i-1, "or")
	case "half":
		return i+1 == len(r.words) || r.wordIs(i+1, "contact", "qso", "exchange", "copied", "copy", "heard") || r.wordIs(i+2, "contact", "qso")
	case "list":
		return r.wordIs(i-1, "the", "my", "todo") && r.wordIs(i-2, "on")
	}
	return false
}

// negation says what "no" or "not" at word i denies.
func (r *reader) negation(i int) Why {
	switch {
	case r.startsElement(i+1) || r.onlyItself(i+1) && !r.wordIs(i+1, "signal"):
		return "" // a correction, or "no grid"
	case i+1 < len(r.words) && r.measures(i+1):
		return "" // "no. 12"
	case r.wordIs(i-1, "name") && i+1 < len(r.words) && nameless[r.words[i+1].s]:
		return ""
	case i+1 == len(r.words):
		return Denied
	case r.words[i].s == "not" && r.wordIs(i+1, "bad", "strong", "loud", "easy", "weak", "so", "too", "very", "far", "many", "only"):
		return ""
	case r.words[i+1].means == 0:
		return Doubted
	case r.wordIs(i+1, "sure", "certain"):
		return Doubted
	}
	return Denied
}

// onlyItself reports whether the words from i on name something that may be
// missing without harm to the contact: "no grid", "missed the start".
func (r *reader) onlyItself(i int) bool {
	for j := i; j < len(r.words) && j < i+3; j++ {
		if r.words[j].means&needless != 0 {
			return true
		}
		if !r.wordIs(j, "the", "a", "my", "his", "her", "get", "any", "their", "your", "copy") {
			return false
		}
	}
	return false
}

func (r *reader) wordIs(i int, any ...string) bool {
	if i < 0 || i >= len(r.words) {
		return false
	}
	return slices.Contains(any, r.words[i].s)
}

func (r *reader) endsElement(i int) bool {
	for j := range r.elems {
		if r.elems[j].to == i {
			return true
		}
	}
	return false
}

func (r *reader) startsElement(i int) bool {
	for j := range r.elems {
		if r.elems[j].from == i {
			return true
		}
	}
	return false
}

// assign gives each group what stands around it: cues, words that leave a
// doubt, and what could be an item but was not read as one. A word speaks of
// the groups right before and after it, unless another contact begins between.
func (r *reader) assign() {
	for _, c := range r.cues {
		r.nearest(c.at, func(g *group) {
			if g.cue != Denied {
				g.cue = c.why
			}
		})
	}
	around := func(a *arc) {
		r.nearest(int(a.from), func(g *group) { g.around = append(g.around, a) })
	}
	for _, a := range r.path {
		if a.kind == skipped && (a.doubt != 0 || r.words[a.from].means&mark != 0) {
			around(a)
		}
	}
	for _, a := range r.loose {
		around(a)
	}
}

// nearest calls f for the groups that a word may speak of.
func (r *reader) nearest(at int, f func(*group)) {
	after, _ := slices.BinarySearchFunc(r.groups, at, func(g group, at int) int { return cmp.Compare(g.from, at+1) })
	if after > 0 {
		if g := &r.groups[after-1]; at < g.to || r.bondOf(g.to, at) != apart {
			f(g)
			if at < g.to {
				return
			}
		}
	}
	if after < len(r.groups) {
		if g := &r.groups[after]; r.bondOf(at+1, g.from) != apart {
			f(g)
		}
	}
}

package parse

import "slices"

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
	for i := range r.elems {
		if e := &r.elems[i]; r.asked(e.to) {
			r.cues = append(r.cues, cue{e.to - 1, Doubted})
		}
	}
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
	t := &r.words[i]
	switch {
	case t.s == "no" || t.s == "not":
		return r.negation(i)
	case t.s == "lost":
		if r.wordIs(i+1, "him", "her", "them", "it", "you", "contact", "qso") {
			return Denied
		}
		return ""
	case t.s == "hear" && r.wordIs(i-1, "to"):
		return ""
	case t.means&heard != 0:
		return Denied
	case t.means&(denies|doubts) == 0 || r.onlyItself(i+1):
		return ""
	case t.means&denies != 0:
		return Denied
	}
	return Doubted
}

// negation says what "no" or "not" at word i denies.
func (r *reader) negation(i int) Why {
	switch {
	case r.startsElement(i+1) || r.onlyItself(i+1):
		return "" // a correction, or "no grid"
	case i+1 == len(r.words):
		return Denied
	case r.words[i].s == "not" && r.wordIs(i+1, "bad", "strong", "loud", "great", "good", "easy", "clear", "perfect", "so", "too", "very"):
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

func (r *reader) startsElement(i int) bool {
	for j := range r.elems {
		if r.elems[j].from == i {
			return true
		}
	}
	return false
}

// whyAt returns what the cues say of a group, the strongest first.
func (r *reader) cueFor(g *group) Why {
	var why Why
	for _, c := range r.cues {
		if c.why != why && why != Denied && r.reaches(c.at, g) {
			why = c.why
		}
	}
	return why
}

// reaches reports whether a word may speak of a group: nothing that begins
// another contact and no other group stands between.
func (r *reader) reaches(at int, g *group) bool {
	lo, hi := g.to, at
	if at < g.from {
		lo, hi = at+1, g.from
	} else if at < g.to {
		return true
	}
	for k := range r.groups {
		if h := &r.groups[k]; h != g && lo <= h.from && h.to <= hi {
			return false
		}
	}
	return r.bondOf(lo, hi) != apart
}

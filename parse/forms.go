package parse

import "strings"

// The lists of words end somewhere; what follows tells by the form of a word,
// or by how words stand together, that a line denies or doubts the contact in
// it. Common practice; no source.

// formCue says what word i, which no list explains, says of a contact beside it:
// that the station was only heard, or that the contact is to be doubted. It
// denies nothing, because a form may deceive.
func (r *reader) formCue(i int) Why {
	t := &r.words[i]
	switch {
	case t.means&corrects != 0 || strings.HasSuffix(t.s, "oops"):
		return doubted(strings.HasSuffix(t.s, "oops") && i >= r.elems[len(r.elems)-1].to)
	case stemmed(t.s, heardStems):
		return Denied
	case contracted(t.s):
		return doubted(!r.wordIs(i+1, "complain", "forget", "worry", "mind", "be", "believe", "stop") && !r.onlyItself(i+1))
	case r.withoutWhat(i), r.onlyPart(i), r.leaves(i), r.elsewhere(i), r.slips(i):
		return Doubted
	case t.means&lets != 0 || r.onlyItself(i+1):
		return ""
	case strings.HasPrefix(t.s, "hope"):
		return doubted(i+1 == len(r.words) || r.startsElement(i+1) || r.wordIs(i+1, "so", "it", "he", "that", "i"))
	case t.means&vague != 0:
		return doubted(!r.wordIs(i-1, "cu", "you", "again", "nice", "lovely", "good", "great", "happy", "sunny", "rainy", "long", "whole", "all") && !(t.s == "somewhere" && r.wordIs(i+1, "in", "near", "on", "between")))
	}
	return doubted(stemmed(t.s, doubtStems) || t.undone() || r.leans(i) || r.unlike(i) || r.orders(i))
}

func doubted(so bool) Why {
	if so {
		return Doubted
	}
	return ""
}

// outlandish reports whether word i is none that a comment is made of: nobody
// knows what it says of the contact. A name, and what is of or at something, may
// be any word.
func (r *reader) outlandish(i int) bool {
	t := &r.words[i]
	if t.means != 0 || t.shape&^(hasLetter|foreign) != 0 || len(t.s) < 3 || t.spells.trust >= loose || isComment(t.s) || isStretched(t.s) {
		return false
	}
	if at := r.f.at(t.from, len(r.text)); i > 0 && t.gap&stop == 0 && isUpper(r.text[at]) && !isUpper(r.text[min(at+1, len(r.text)-1)]) {
		return false
	}
	if _, skips := r.skippedDoubt(i); !skips || r.insideContact(i) && !t.undone() && !strings.HasSuffix(t.s, "ing") && !strings.HasSuffix(t.s, "ly") {
		return false // between call and grid most likely a name
	}
	for j := i - 1; j >= 0 && j > i-4 && r.words[j+1].gap&pause == 0; j-- {
		if r.wordIs(j, "a", "an", "the", "his", "her", "my", "our", "their", "your", "from", "near", "in", "at", "of", "by", "with", "on", "via", "to", "de", "over", "under", "above", "behind", "around", "some", "new", "says", "name", "op", "operator", "handle", "using") {
			return r.wordIs(j, "by") && i+1 == len(r.words) && !r.remarked(i)
		}
		if r.words[j].means&(small|name) == 0 || r.startsElement(j+1) {
			break
		}
	}
	return !r.remarked(i)
}

// insideContact reports whether a lone word i stands between a call and its grid.
func (r *reader) insideContact(i int) bool { return r.endsElement(i) && r.startsElement(i+1) }

func isUpper(c byte) bool { return 'A' <= c && c <= 'Z' }

// elsewhere reports whether the words at i put the contact in another time, or
// on another way than the bird.
func (r *reader) elsewhere(i int) bool {
	switch r.words[i].s {
	case "next", "last", "previous", "this", "another", "some":
		if r.wordIs(i, "this") && r.wordIs(i-1, "time", "one", "contact", "qso", "grid", "bird", "new", "dx", "far", "best", "so") {
			return false
		}
		if r.wordIs(i-1, "licensed", "you", "cu", "born", "retired") {
			return false
		}
		return r.wordIs(i+1, "week", "weekend", "month", "year", "night", "summer", "winter", "orbit") || r.wordIs(i, "next", "another") && r.wordIs(i+1, "time", "pass", "day")
	case "on", "by", "via", "over":
		return !r.wordIs(i-1, "also") && r.wordIs(i+1, "hf", "email", "mail", "phone", "whatsapp", "facebook", "telegram", "chat", "dmr", "echolink", "internet", "cluster", "10m", "12m", "15m", "17m", "20m", "30m", "40m", "80m", "160m", "6m", "4m") ||
			r.wordIs(i+1, "the") && r.wordIs(i+2, "downlink", "phone", "internet", "cluster", "list", "repeater")
	case "set", "sets":
		return r.wordIs(i-1, "bird", "sat", "satellite", "it")
	case "los":
		return i > r.elems[0].from && !r.wordIs(i-1, "at", "before", "near", "until", "till", "after", "just", "to", "by", "from") && !(i+1 < len(r.words) && r.words[i+1].shape&hasDigit != 0)
	case "confirm", "repeat":
		return true
	case "zero", "null":
		return r.wordIs(i+1, "copy", "report", "reply", "answer", "contact", "response", "qso", "luck")
	case "please", "pse", "pls":
		return i+1 < len(r.words) && !r.wordIs(i+1, "qsl", "lotw", "card", "email", "k")
	}
	return false
}

// contracted reports whether a word is an auxiliary verb with "not", with or
// without its apostrophe.
func contracted(s string) bool {
	if strings.HasSuffix(s, "n't") {
		return true
	}
	stem, ok := strings.CutSuffix(s, "nt")
	if !ok {
		return false
	}
	switch stem, _, _ = strings.Cut(stem, "'"); stem {
	case "did", "do", "does", "could", "would", "should", "has", "have", "had", "was", "were", "is", "are", "ai", "wo", "need", "must", "might", "ca":
		return true
	}
	return false
}

// heardStems begin words for a station that was only listened to.
var heardStems = []string{"overhear", "eavesdrop", "lsn", "lstn", "lisn"}

// doubtStems begin words for a contact that came to nothing, of somebody who is
// not sure, or who speaks of what should have been.
var doubtStems = []string{
	"fail", "misses", "missing", "losing", "loses", "abort", "abandon", "interrupt", "drown", "disappear", "vanish", "disconnect", "cancel", "delet", "remov", "discard", "reject",
	"refus", "ignor", "incompl", "invalid", "nobody", "neither", "noone", "none", "nah", "impossib", "imposs",
	"doubt", "guess", "suspect", "suppos", "presum", "assum", "erron", "mistak", "miscop", "misconf", "mishear", "misheard", "misread", "mislog", "misunder", "typo", "fals", "fake", "uncert", "dream", "wish",
	"would", "shouldve", "couldve", "should've", "could've", "must", "ought", "hardly", "scarcely", "qrmed", "qrm'd", "nonexist", "bogus", "hoax", "phantom", "spoof", "prank", "impost", "jammer", "troll", "someone", "somebody", "others", "announce", "alert", "qrv",
}

func stemmed(s string, stems []string) bool {
	for _, stem := range stems {
		if strings.HasPrefix(s, stem) {
			return true
		}
	}
	return false
}

// undone reports whether a word that is not known tells by its form that
// something was done to the contact, or undone: "unverified", "garbled".
func (t *token) undone() bool {
	if t.means != 0 || t.spells.trust != unspelled || t.shape != hasLetter || len(t.s) < 6 || isComment(t.s) {
		return false
	}
	return strings.HasPrefix(t.s, "un") || strings.HasSuffix(t.s, "ed") && !strings.HasSuffix(t.s, "eed")
}

// withoutWhat reports whether the words at i say what the contact lacks.
func (r *reader) withoutWhat(i int) bool {
	switch r.words[i].s {
	case "without", "w/o", "lacks", "lacking", "lacked", "ohne", "sans", "sin", "senza", "sem", "zonder", "utan":
		return i+1 < len(r.words) && r.words[i+1].means&lets == 0 && !r.onlyItself(i+1)
	case "w":
		return r.wordIs(i+1, "o") && r.words[i+1].gap == slash && !r.onlyItself(i+2)
	}
	return false
}

// onlyPart reports whether the words at i say that only a part was heard:
// "copy only", "only half of it".
func (r *reader) onlyPart(i int) bool {
	some := func(j int) bool {
		return r.wordIs(j, "copy", "cpy", "copied", "rx", "half", "part", "partly", "parts", "suffix", "prefix", "letters", "noise", "carrier", "listening", "receive", "received", "call", "calls", "callsign", "bits", "pieces", "once", "partial")
	}
	switch r.words[i].s {
	case "only", "just":
		j := i + 1
		for r.wordIs(j, "the", "a", "his", "her", "some", "got", "caught", "have", "had") {
			j++
		}
		return some(j) && !r.wordIs(j+1, "sign") && !r.startsElement(j+1) || r.words[i].s == "only" && some(i-1)
	case "half":
		return !r.wordIs(i+1, "duplex", "hour", "mile", "watt", "asleep", "power", "past", "wave", "full", "an", "way", "price")
	}
	return false
}

// leaves reports whether the words at i say that the station went before the
// contact was made.
func (r *reader) leaves(i int) bool {
	switch r.words[i].s {
	case "went":
		return r.wordIs(i+1, "away", "qrt", "silent", "dead", "down", "under", "out", "off", "quiet", "missing")
	case "left", "quit", "died", "stopped", "faded", "moved", "switched", "turned", "go", "gone":
		return r.wordIs(i-1, "he", "she", "they", "him", "her", "signal") || r.wordIs(i+1, "away", "mid") || r.words[i].s == "gone" && !r.wordIs(i+1, "portable", "mobile", "fishing", "camping", "walking", "well", "fast")
	case "fade", "fading", "fades":
		return r.wordIs(i+1, "away", "out")
	case "listen", "listening", "listened":
		return r.wordIs(i+1, "for", "to", "only", "on", "in")
	case "came", "come", "coming", "answered", "answering", "answers", "replied", "replying":
		return r.wordIs(i+1, "to", "back") && r.wordIs(i+2, "another", "other", "others", "to") && !r.wordIs(i+3, "me", "us") || r.wordIs(i+1, "another", "others")
	case "mid", "during":
		return r.wordIs(i+1, "exchange", "qso", "over", "sentence", "call", "report", "contact")
	case "short":
		return r.wordIs(i-1, "cut", "too")
	case "los":
		return r.wordIs(i+1, "came", "hit", "happened", "killed", "first", "ended", "cut", "too", "stopped")
	case "nothing", "zilch", "nada", "zip":
		return i+1 == len(r.words) || r.wordIs(i+1, "back", "from", "heard", "after", "at")
	}
	return false
}

// leans reports whether the words at i lean away from what stands before them.
func (r *reader) leans(i int) bool {
	switch r.words[i].s {
	case "him", "her", "them":
		return i > 1 && !(r.wordIs(i-2, "to") && r.wordIs(i-3, "had", "have") && !r.wordIs(i-1, "ask", "call")) && !r.wordIs(i-1, "worked", "got", "logged", "copied", "copy", "wkd", "to", "with", "from", "for", "thank", "thanks", "of", "see", "know", "meet", "met", "and", "heard", "hear", "had", "got", "log", "gave", "told", "hearing", "working", "caught", "make", "made", "hi", "by", "at", "73", "wish", "love", "on", "like") && !r.startsElement(i)
	case "was", "were", "is", "are":
		if r.wordIs(i-1, "he", "she", "they", "station", "op") && i+1 < len(r.words) && strings.HasSuffix(r.words[i+1].s, "ing") {
			return !isComment(r.words[i+1].s) && r.words[i+1].means&^(small|lets) != 0 || r.words[i+1].means == 0 && !isComment(r.words[i+1].s) || r.wordIs(i+1, "working", "talking", "getting", "going", "coming", "looking", "listening", "hearing", "testing", "tuning", "sending")
		}
		if r.wordIs(i+1, "it", "that", "this", "he") && i > r.elems[0].from {
			return true
		}
	case "only":
		return i+1 == len(r.words) && i > r.elems[0].to && r.words[i-1].means&unit == 0 && r.words[i-1].shape&hasDigit == 0 && !r.wordIs(i-1, "fm", "qrp", "handheld", "whip", "time", "portable", "antenna", "radio", "duck", "power", "battery", "band")
	case "took", "ate", "killed", "got":
		return r.wordIs(i-1, "qsb", "qrm", "fading", "noise", "los")
	case "close":
		return r.wordIs(i-1, "so", "very") && (i+1 == len(r.words) || r.words[i+1].gap&pause != 0)
	case "hard", "difficult":
		return r.wordIs(i+1, "to") && r.wordIs(i+2, "say", "tell", "copy", "hear", "read", "know")
	case "qso":
		return r.wordIs(i-1, "in") && i > r.elems[0].from
	case "beacon":
		return i > r.elems[0].from
	case "sort", "kind":
		return r.wordIs(i+1, "of")
	case "but", "however", "although", "though":
		return i > r.elems[0].from && i+1 < len(r.words) && !r.praises(i+1)
	case "too":
		return r.wordIs(i+1, "weak", "late", "low", "fast", "far", "noisy", "much", "many", "early", "faint", "quiet", "deep", "slow", "soon", "bad", "broken", "garbled", "distorted", "short")
	case "should":
		return !r.wordIs(i+1, "be") || !r.startsElement(i+2)
	case "right":
		return r.wordIs(i-1, "yeah", "yea", "yes", "ya") && i+1 == len(r.words)
	case "luck", "joke":
		return r.wordIs(i-1, "good", "a") && i+1 == len(r.words) && r.words[i].s == "joke"
	case "less":
		return r.wordIs(i-1, "or")
	case "bad", "poor", "broken":
		return r.wordIs(i+1, "call", "callsign", "grid", "locator", "copy", "log", "suffix", "prefix")
	case "bet", "reckon", "believe", "figure":
		return r.wordIs(i-1, "i", "we")
	case "active":
		return !r.wordIs(i-1, "very", "first")
	case "soon", "shortly":
		return r.wordIs(i-1, "there", "back", "up", "on", "live", "again")
	}
	return r.appears(i)
}

// appears reports whether the words at i say only that the station is there.
func (r *reader) appears(i int) bool {
	switch r.words[i].s {
	case "is", "are", "be":
		return r.wordIs(i+1, "there", "here", "around", "back", "calling", "up", "qrv") ||
			r.wordIs(i+1, "on") && (i+2 == len(r.words) || r.wordIs(i+2, "the", "now", "air", "frequency", "freq", "today", "again") && (i+3 == len(r.words) || r.wordIs(i+3, "bird", "air", "sat", "satellite", "frequency", "freq", "uplink", "downlink", "pass")))
	}
	return false
}

// praises reports whether one of the words from i on says that all went well.
func (r *reader) praises(i int) bool {
	for j := i; j < len(r.words) && j < i+5; j++ {
		if r.words[j].means&well != 0 || r.startsElement(j) || r.words[j].means&needless != 0 {
			return true
		}
	}
	return false
}

// unlike reports whether the words at i say that the contact is only one like
// what was heard.
func (r *reader) unlike(i int) bool {
	switch r.words[i].s {
	case "checked":
		return r.wordIs(i-1, "be", "not")
	case "check":
		return !r.wordIs(i-1, "sound", "radio", "reality")
	case "something", "similar":
		return r.wordIs(i-1, "or", "and") || r.wordIs(i+1, "like")
	case "can", "are", "any", "which", "should", "how":
		return i == 0 && !r.wordIs(i+1, "a", "an", "nice", "cool", "great", "copy")
	case "what":
		return i == 0 && !r.wordIs(i+1, "a", "an")
	}
	return false
}

// orders reports whether word i is an order that somebody gives himself or the
// bot about the station named after it.
func (r *reader) orders(i int) bool {
	if r.wordIs(i, "say", "give", "send") && r.wordIs(i+1, "hello", "hi", "regards", "greetings", "thanks") && r.wordIs(i+2, "to") && r.startsElement(i+3) {
		return true
	}
	if i > 0 && r.words[i].gap&pause == 0 || !r.startsElement(i+1) {
		return false
	}
	switch r.words[i].s {
	case "meeting", "tell", "ask", "find", "remind", "email", "mail", "message", "msg", "text", "meet", "look", "see", "watch", "wait", "let", "help", "catch", "hunt", "chase", "work", "try", "reach", "follow", "warn", "visit", "remember", "forget", "phone", "ring", "invite", "bring", "buy", "thank", "greet", "answer", "skip", "avoid", "block", "pay", "write", "send", "show", "check", "spot", "give", "pick":
		return true
	}
	return false
}

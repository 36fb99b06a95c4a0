package parse

import "strings"

// A line may name a station that the operator did not work, without a word that
// denies: somebody else worked it, it was only seen or was waiting, it is made
// up, or it is the one that speaks. What follows tells so by how words stand
// together. Common practice; no source.

// notMine reports whether the words at i say that the contact beside them is
// none of the operator's.
func (r *reader) notMine(i int) bool {
	return r.byOther(i) || r.withOther(i) || r.betweenTwo(i) || r.onScreen(i) || r.queues(i) || r.departs(i) || r.madeUp(i) || r.ownStation(i) || r.mailed(i) || r.halfSure(i) || r.longAgo(i) || r.secondHand(i) || r.takenBack(i)
}

// isAny reports whether word i is one of a list with spaces around its words.
func (r *reader) isAny(i int, list string) bool {
	if i < 0 || i >= len(r.words) {
		return false
	}
	s := r.words[i].s
	at := strings.Index(list, s)
	for at >= 0 && (list[at-min(1, at)] != ' ' || at == 0 || list[at+len(s)] != ' ') {
		next := strings.Index(list[at+1:], s)
		if next < 0 {
			return false
		}
		at += 1 + next
	}
	return at >= 0
}

const (
	workedWords   = " worked wkd works logged got copied made makes caught snagged bagged contacted grabbed finished completed did had has contact qso with "
	briefWords    = " all both just finally also has have had already now once even then a the first again who really "
	personWords   = " he she they who friend wife husband son daughter brother sister father mother dad mom uncle aunt nephew niece cousin kid kids boy girl buddy mate neighbour neighbor station club team group operator guy guys fellow man woman lady somebody someone everybody everyone others another people colleague grandson grandpa "
	ownersWords   = " my the his her our a an another some their that this your "
	placingWords  = " from at on in with by of to via for near over under behind during after before off "
	durationWords = " time morning afternoon evening night pass day week month orbit year moment minute second bird sat satellite "
)

// byOther reports whether word i is what somebody else did with the station
// named after it: "my friend worked …".
func (r *reader) byOther(i int) bool {
	if !r.isAny(i, workedWords) || r.isAny(i, " with contact qso ") && !r.isAny(i-1, workedWords) && !r.isAny(i-1, " in ") {
		return false
	}
	next := i + 1
	for r.isAny(next, " with qso contact a the in ") {
		next++
	}
	if !r.startsElement(next) && !(i > r.elems[0].from && r.isAny(next, " it him her them this that ") && !r.isAny(i-1, " he she they who ")) {
		return false
	}
	return r.otherBefore(i)
}

// otherBefore reports whether the words before i, up to a pause, name somebody
// else as the one who did it.
func (r *reader) otherBefore(i int) bool {
	j := i - 1
	for j >= 0 && r.words[j+1].gap&pause == 0 && (r.isAny(j, briefWords) || r.isAny(j, workedWords)) {
		j--
	}
	if j < 0 || r.words[j+1].gap&pause != 0 || r.at[j].kind != skipped || r.isAny(j, durationWords) {
		return false
	}
	if r.isAny(j, personWords) || r.words[j].means&name != 0 && r.words[j].means&^name == 0 {
		return true
	}
	for k := j - 1; k >= 0 && k > j-4 && r.words[k+1].gap&pause == 0; k-- {
		if r.isAny(k, ownersWords) || r.isAny(k, personWords) {
			return !r.isAny(k-1, placingWords)
		}
	}
	return false
}

// withOther reports whether word i, behind a contact, says that the station had
// to do with somebody else: "… worked bob".
func (r *reader) withOther(i int) bool {
	if i <= r.elems[0].from || !r.isAny(i, " worked wkd works working logged answered answers answering talking talks talked chatting chats spoke speaking replied replying contacted ") {
		return false
	}
	if !r.endsElement(i) && !r.isAny(i-1, " was is he she they just only but and then also now ") {
		return false
	}
	j := i + 1
	for r.isAny(j, " to with the my his her a an our by ") {
		j++
	}
	return r.isAny(j, personWords) || r.wordIs(j, "old", "local", "club") && r.isAny(j+1, personWords) || j < len(r.words) && r.words[j].means&name != 0 && r.words[j].means&^name == 0
}

// betweenTwo reports whether word i, between two stations, says that they worked
// each other: "… working …". Where each is said to be worked, they were: "worked …
// worked …".
func (r *reader) betweenTwo(i int) bool {
	const verbs = " worked wkd works working wkg answered answering talking talks chatting speaking contacted contacting with "
	if i <= r.elems[0].from || !r.isAny(i, verbs) || !r.endsElement(i) || r.words[i].gap&pause != 0 {
		return false
	}
	j := i + 1
	for r.isAny(j, " to with ") {
		j++
	}
	last := r.elems[len(r.elems)-1].to
	return r.startsElement(j) && r.calls() > 1 && !r.isAny(r.elems[0].from-1, verbs) && !r.isAny(last, verbs)
}

const screenWords = " waterfall sdr websdr panadapter panadaptor decoder spectrum spectrogram scope bandscope screen map tracker scanner recording recordings record stream webcam cluster website magazine newsletter newspaper book notebook video photo poster laptop computer pc webpage qrz callbook browser site hamfest convention rally fleamarket globe dashboard monitor aprs web skimmer list "

// onScreen reports whether the words at i say that the station was seen on
// something.
func (r *reader) onScreen(i int) bool {
	switch {
	case r.isAny(i, " seen spied "):
		return r.isAny(i+1, " on in at by ")
	case r.isAny(i, " saw see sees "):
		return r.startsElement(i+1) && !r.isAny(i, " see ")
	case r.isAny(i, " via through thru ") && r.isAny(i+1, " websdr skimmer cluster the ") && !r.isAny(i+2, " pileup noise qrm trees window forest crowd static "):
		return r.isAny(i+1, " websdr skimmer cluster ") || r.isAny(i+2, " websdr skimmer cluster recording ")
	case !r.isAny(i, " on in at "):
		return false
	}
	j := i + 1
	for r.isAny(j, " the my a his an our ") {
		j++
	}
	if r.endsElement(i) && r.isAny(j, " radio air tape frequency freq band youtube tv ") {
		return i+1 < j || r.isAny(j, " air youtube tv tape ")
	}
	if !r.isAny(j, screenWords) && r.words[min(j, len(r.words)-1)].means&^small == 0 {
		j++ // "the wsjt screen"
		if r.isAny(j, " list map record web book photo picture video poster ") {
			return false
		}
	}
	return r.isAny(j, screenWords) && !(r.isAny(j, " map list record web photo picture video book website laptop computer magazine ") && r.isAny(j-1, " his a ")) && !r.isAny(i-1, " running works working good logged logging typing ")
}

// queues reports whether the words at i say that the station still waits.
func (r *reader) queues(i int) bool {
	switch r.words[i].s {
	case "pileup":
		return r.isAny(i-1, " in the a this that ") && (r.isAny(i-1, " in ") || r.isAny(i-2, " in ")) && !r.isAny(i-3, " got him worked found caught even ") && (r.endsElement(i-2) || r.isAny(i-3, " was is still and only ") || r.isAny(i-2, " was is still and only "))
	case "next":
		return r.isAny(i-1, " up is was be comes goes he's ") || r.isAny(i+1, " up in ") && (r.isAny(i+2, " line queue turn row ") || i+2 >= len(r.words))
	case "standing", "stands", "stand":
		return r.wordIs(i+1, "by")
	case "standby", "stby", "queue", "queued", "queuing", "queueing":
		return true
	case "line", "hold":
		return r.wordIs(i-1, "in", "on") && i+1 == len(r.words) && r.isAny(i-2, " is was next still waiting ")
	}
	return false
}

// departs reports whether the words at i say that the station went before the
// operator's turn.
func (r *reader) departs(i int) bool {
	behind := i > r.elems[0].from
	switch r.words[i].s {
	case "before":
		return r.isAny(i+1, " me us i we my ")
	case "already":
		return r.isAny(i+1, " worked wkd logged in got have had done ")
	case "after":
		return r.endsElement(i) && r.isAny(i+1, " me us my ") && !r.isAny(i+2, " first second third call calls lunch dinner ")
	case "busy", "visible":
		return r.endsElement(i) && (i+1 == len(r.words) || r.isAny(i+1, " with now on in at talking working "))
	case "ahead":
		return r.wordIs(i+1, "of") && r.wordIs(i+2, "me", "us")
	case "qrt":
		return behind && (r.endsElement(i) || r.isAny(i-1, " is was already gone he now ")) && (i+1 == len(r.words) || r.isAny(i+1, " before already now early too "))
	case "left":
		return behind && (r.endsElement(i) || r.isAny(i-1, " already has had just then ")) && (i+1 == len(r.words) || r.isAny(i+1, " before already early us me now for us freq frequency it too when while ") || r.wordIs(i+1, "the") && r.isAny(i+2, " frequency freq bird pass sat satellite air net channel "))
	case "hung", "packed", "signed", "shut", "shutting", "packing", "signing", "drove", "closed", "closing":
		return behind && (r.endsElement(i) || r.isAny(i-1, " already has had just then he she is was ")) && r.wordIs(i+1, "up", "off", "down", "away")
	}
	return false
}

// madeUp reports whether the words at i say that the line is only a test.
func (r *reader) madeUp(i int) bool {
	switch r.words[i].s {
	case "test", "testing":
		return r.startsElement(i+1) || r.endsElement(i) && i+1 == len(r.words) || r.isAny(i-1, " a just only for ") && (i+1 == len(r.words) || r.words[i+1].gap&pause != 0 || r.startsElement(i+1)) || r.wordIs(i+1, "only", "entry", "line", "message", "input")
	case "practice", "practise", "practicing", "exercise", "rehearsal", "drill", "dummy", "demo", "sample", "simulated", "simulation", "placeholder", "example", "fictional", "invented", "training":
		return i == 0 || r.startsElement(i+1) || r.endsElement(i) || i+1 == len(r.words) && r.isAny(i-1, " a an for just only is ")
	case "run":
		return r.wordIs(i-1, "dry", "trial", "test")
	}
	return false
}

// ownStation reports whether word i, before a typed call, says that it is the
// one that speaks.
func (r *reader) ownStation(i int) bool {
	if !r.startsTyped(i + 1) {
		return false
	}
	switch r.words[i].s {
	case "de":
		return i == 0 || r.at[i-1].kind == skipped && r.words[i-1].means&heard == 0 && i == 1
	case "was":
		return r.wordIs(i-1, "i")
	case "is":
		return r.isAny(i-1, " here manager ") || r.wordIs(i-1, "this") && (i == 1 || r.words[i-1].gap&pause != 0) || r.my(i-1)
	case "are", "were":
		return r.my(i-1) || r.wordIs(i-1, "we")
	case "am":
		return r.wordIs(i-1, "i")
	case "i'm", "im", "here's":
		return true
	case "call", "callsign", "station", "sign":
		return r.my(i)
	}
	return false
}

// my reports whether the words up to i name what is the operator's: "my home
// call".
func (r *reader) my(i int) bool {
	if !r.isAny(i, " call callsign sign station grid locator loc qth here ") {
		return false
	}
	for j := i - 1; j >= 0 && j > i-5; j-- {
		if r.wordIs(j, "my", "our") {
			return true
		}
	}
	return false
}

func (r *reader) startsTyped(i int) bool {
	for j := range r.elems {
		if r.elems[j].from == i {
			return r.elems[j].doubt&dictated == 0
		}
	}
	return false
}

// mailed reports whether word i, right before a station, says that something
// was sent to or came from it.
func (r *reader) mailed(i int) bool {
	if !r.isAny(i, " to from for via by ") || !r.startsElement(i+1) {
		return false
	}
	for j := i - 1; j >= 0 && j > i-3; j-- {
		if r.isAny(j, " qsl qsls card cards eqsl email mail letter message msg parcel postcard photo picture invoice sticker news request spot sked ") {
			return true
		}
	}
	return false
}

// halfSure reports whether word i is a part of certainty: "90% sure", "not 100%".
func (r *reader) halfSure(i int) bool {
	t := &r.words[i]
	next := i + 1
	if t.shape != hasDigit || len(t.s) > 3 {
		return false
	}
	if marked := next < len(r.words) && r.words[next].gap&percent != 0 || next == len(r.words) && r.after&percent != 0; !marked {
		if next++; !r.wordIs(i+1, "percent", "pct") {
			return false
		}
	}
	if r.isAny(i-1, " not isn't isnt never ") {
		return true
	}
	if t.s == "100" {
		return false
	}
	return r.isAny(next, " sure certain confident on of right correct ok okay positive copied legible readable chance that it ") || next == len(r.words) && (r.endsElement(i) || r.isAny(i-1, " about maybe only like say roughly of chance "))
}

// wondersAfter reports whether a sentence behind the contacts asks something
// that is no mere courtesy.
func (r *reader) wondersAfter() bool {
	s := r.f.s[r.words[r.elems[len(r.elems)-1].to-1].to:]
	for at := strings.IndexByte(s, '?'); at >= 0; at = strings.IndexByte(s, '?') {
		asks := s[strings.LastIndexAny(s[:at], ".,!;:()")+1 : at]
		if said := strings.TrimSpace(asks); said != "" && !courteous(said) {
			return true
		}
		s = s[at+1:]
	}
	return false
}

// courteous reports whether a question is one that people ask each other.
func courteous(s string) bool {
	for _, begin := range [...]string{"how are", "how r u", "how is", "hows", "how's", "how you", "how do you do", "que tal", "wie gehts", "wie geht", "ca va", "come va", "whats up", "what's up", "and you", "u ok"} {
		if strings.HasPrefix(s, begin) {
			return true
		}
	}
	return false
}

// longAgo reports whether word i puts the contact in an earlier time than now:
// "2 min ago". It may not be clear which.
func (r *reader) longAgo(i int) bool {
	if !r.wordIs(i, "ago") || r.isAny(i-1, " moment second ") && r.isAny(i-2, " a one ") && !r.isAny(i-2, " one ") {
		return false
	}
	for j := i - 1; j >= 0 && j > i-7 && r.isAny(i-1, " years year months month weeks week days "); j-- {
		if r.isAny(j, " licensed licenced met started retired moved bought born built learned learnt married visited lived began joined founded broke found ") {
			return false
		}
	}
	return true
}

// slips reports whether the words at i say that the station slipped away, or was
// covered: "ran away", "fell asleep", "mostly noise", "mixed up".
func (r *reader) slips(i int) bool {
	behind := r.endsElement(i) || r.isAny(i-1, " he she they then just and it him who but ") && i > r.elems[0].from
	switch r.words[i].s {
	case "ran", "walked", "drove", "flew", "drifted", "wandered", "took", "dropped", "turned", "rode", "sailed", "fell", "got", "pulled", "slid", "swung", "hopped":
		return behind && r.isAny(i+1, " away off out asleep silent ") && !r.isAny(i+2, " a my me ")
	case "went":
		return behind && i+1 < len(r.words) && !r.isAny(i+1, " well fine great ok okay good smooth smoothly quick quickly perfect perfectly portable up very like so nice nicely easy first both all by ") && !r.praises(i+1)
	case "blew", "slept", "mixed", "messed", "swapped", "scrambled", "jumbled", "melted", "buried", "sank", "sunk", "stuck":
		return r.isAny(i+1, " it up that through letters digits calls in into under below beneath behind ") && (behind || r.isAny(i+2, " noise qrm static mud letters digits calls "))
	case "mostly", "pure", "all":
		return r.isAny(i+1, " noise static hiss garbage carrier tone tones squeal beeps qrm crackle gibberish ")
	case "died":
		return r.isAny(i-1, " battery batteries radio rig signal he she power audio connection link batt ")
	case "hunting", "searching", "longing", "begging", "calling":
		return r.wordIs(i+1, "for")
	case "is", "was":
		for j := i + 1; j < len(r.words) && j < i+5 && behind && r.words[j].gap&pause == 0; j++ {
			if r.isAny(j, " call callsign calls ") && !r.isAny(j-1, " first nice second good ") {
				return true
			}
		}
	case "wrote", "emailed", "phoned", "texted", "messaged", "spotted", "posted", "tweeted":
		return behind
	case "used":
		return r.wordIs(i+1, "to") && r.wordIs(i+2, "be", "have")
	}
	return false
}

// secondHand reports whether the words at i say that the contact, or a part of
// it, is somebody else's or was looked up: "logged by jim", "grid from qrz".
func (r *reader) secondHand(i int) bool {
	if i < r.elems[0].from {
		return false
	}
	other := func(j int) bool {
		return r.isAny(j, personWords) || j >= 0 && j < len(r.words) && r.words[j].means&name != 0 && r.words[j].means&^name == 0
	}
	s := r.words[i].s
	switch s {
	case "to":
		if other(i+1) || r.isAny(i+1, " my his the ") && other(i+2) {
			for j := i - 1; j > i-5 && j >= r.elems[0].to; j-- {
				if r.isAny(j, " gave sent report grid exchange passed spoke speaking ") {
					return true
				}
			}
		}
	case "met":
		return r.isAny(i+1, " at in on ") && r.endsElement(i)
	case "me":
		return i+1 == len(r.words) && r.isAny(i-1, " is that's thats was ")
	case "my":
		return (r.endsElement(i) || r.isAny(i-1, " is was ")) && (r.isAny(i+1, " call callsign licence license ") || r.isAny(i+2, " call callsign licence license ")) && !r.isAny(i+1, " first second third last ") || r.endsElement(i) && r.isAny(i+1, " second other ") && r.isAny(i+2, " call callsign ") && i+3 == len(r.words)
	case "arrived", "received", "confirmed":
		return r.isAny(i-1, " qsl card lotw eqsl ")
	case "under", "below", "beneath":
		return r.isAny(i+1, " a the another other ") && r.isAny(i+2, " stronger louder strong other big ") && r.isAny(i+3, " station signal carrier operator one ")
	case "by":
		return r.isAny(i-1, " copied worked wkd logged heard reported seen spotted made done called contacted mentioned taken noted ") && !r.isAny(i+1, " me us hand ear myself surprise chance mistake phone ")
	case "for":
		return r.endsElement(i) && (other(i+1) || r.isAny(i+1, " my his her the ") && other(i+2))
	case "says", "said", "according":
		return !r.isAny(i+1, " hi hello hey thanks thank good he she it the his that to 73 happy ") && other(i+1) || other(i-1) && (i+1 == len(r.words) || r.isAny(i+1, " so it that he ")) && !r.isAny(i-1, " he she they ") || s == "according"
	case "from", "off":
		j := i + 1
		for r.isAny(j, " the my a his an old ") {
			j++
		}
		if r.isAny(j, " last earlier before yesterday previous log logbook ") && (r.isAny(j, " last earlier before yesterday previous ") || r.isAny(j-1, " old ")) {
			return !r.isAny(j+1, " summer winter night ") && r.endsElement(i) || r.isAny(i-1, " grid call name locator square it ")
		}
		return r.isAny(j, " memory list cluster database qrz recording website internet archive spot spots lookup callbook ")
	case "looked", "look", "looking":
		return r.isAny(i+1, " up it ") && (r.wordIs(i+1, "up") && i+2 == len(r.words) || r.wordIs(i+2, "up"))
	case "other", "another":
		return r.isAny(i-1, " the other on from an ") && r.isAny(i+1, " bird sat satellite one log logbook pass band station ") && !r.isAny(i-2, " each no any like than ")
	case "in":
		return r.isAny(i+1, " a the ") && r.isAny(i+2, " chat conversation qso contact call ") && r.wordIs(i+3, "with") || r.isAny(i+1, " contact qso ") && r.wordIs(i+2, "with") || r.wordIs(i+1, "the") && r.wordIs(i+2, "middle") && r.isAny(i+5, " qso contact call exchange ") || r.wordIs(i+2, "middle") && r.isAny(i+4, " qso contact call exchange ")
	}
	whose, owned := strings.CutSuffix(s, "'s")
	return owned && r.isAny(i+1, " contact qso log logbook station call ") && whose != "it" && whose != "that" && whose != "what" && whose != "today"
}

// takenBack reports whether the words at i take the contact back, or leave open
// what it was: "take that back", "just kidding", "which one", "one letter off".
func (r *reader) takenBack(i int) bool {
	if i < r.elems[0].from {
		return false
	}
	alone := r.endsElement(i) && i+1 == len(r.words)
	switch r.words[i].s {
	case "tries", "tried", "attempted", "attempts":
		return r.wordIs(i+1, "to")
	case "worked", "wkd", "b4":
		return r.endsElement(i) && (r.words[i].s == "b4" && alone || r.isAny(i+1, " before b4 already ") && i+2 == len(r.words))
	case "earlier":
		return r.endsElement(i) && (alone || r.isAny(i+1, " today this on ")) || i+1 == len(r.words) && r.isAny(i-1, " hour hours minutes minute min mins pass orbit ")
	case "before":
		return i+1 == len(r.words) && r.isAny(i-1, " hour hours minutes minute min mins pass orbit ")
	case "out":
		return r.endsElement(i) && r.wordIs(i+1, "of") && r.isAny(i+2, " range sight reach footprint view ")
	case "over", "below", "under", "behind", "beyond":
		return (r.endsElement(i) || r.isAny(i-1, " set sets already gone was is ")) && r.isAny(i+1, " the my his horizon ") && (r.isAny(i+2, " horizon hill ") || r.wordIs(i+1, "horizon"))
	case "something":
		return r.isAny(i+1, " off wrong missing odd weird fishy strange ")
	case "made":
		return r.wordIs(i+1, "up") && !r.isAny(i+2, " for my ")
	case "may":
		return r.isAny(i+1, " have be not ")
	case "walked", "stepped":
		return r.wordIs(i+1, "on") && (i+2 == len(r.words) || r.wordIs(i+2, "by"))
	case "sure":
		return r.isAny(i-1, " pretty fairly quite reasonably rather almost half ") && (i+1 == len(r.words) || r.words[i+1].gap&pause != 0 || r.isAny(i+1, " about it that of on i he "))
	case "cross", "take", "strike", "scrub", "wipe", "rub", "toss", "throw", "kick", "erase", "drop", "ditch", "forget":
		return r.isAny(i+1, " that it this him her them ") && (i+2 == len(r.words) || r.isAny(i+2, " out back off away one from "))
	case "kidding", "joke", "prank":
		return !r.isAny(i-1, " no not a his her my good funny dad ") || r.isAny(i-1, " a ") && i+1 == len(r.words) && r.endsElement(i-1)
	case "dropped", "silence", "void", "blank", "static", "noise", "hiss", "carrier", "silent", "erased", "removed", "empty":
		return alone
	case "dead":
		return r.isAny(i+1, " air silence ")
	case "what", "which", "who":
		return r.isAny(i+1, " was is one grid call s station were about ")
	case "letter", "letters", "digit", "digits", "character", "number":
		return r.isAny(i+1, " off short wrong missing different else ")
	case "be":
		return r.wordIs(i-1, "to") && i+1 < len(r.words) && strings.HasSuffix(r.words[i+1].s, "ed") && !r.isAny(i+1, " repeated continued ")
	case "cut":
		return r.isAny(i+1, " out off short ")
	case "faded":
		return r.isAny(i+1, " out away ") && !r.praises(i+2)
	}
	return false
}

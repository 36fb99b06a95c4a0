package idiom

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse"
	"skyslate/parse/slip"
)

// A Naming is what a line says of a contact that it names by its call, or by the grid that
// was wrong: "F0ZZD is F0ZZQ", "OZ0ZZE was in JO54, not JO55", "drop F0ZZQ from Saturday",
// "HX7ABC worked", "HX7ABC's name is Anna", "oops, JO54 was wrong, it's JO55". Of two calls
// the log has the one, and the other is right.
type Naming struct {
	Calls []parse.Callsign // none: the grid names it
	Says  []string         // what a contact with each of them should be; none: it goes
	Grids []parse.Grid     // those that it has in the log, if they are told
	Sure  bool             // the line can't tell a new contact
	Open  bool             // it means a contact of which it is asked whether there was one
	Fine  bool             // it says that the contact is right as it stands: where nothing is asked of it, it means none of before
	Plain bool             // it has no word of correction: on another pass it means none
	Aside bool             // it says nothing of call and grid
	Timed bool             // it says when it was
	Bird  string           // it says that it was on that one
	Off   string           // and that it was not on that one
	Back  bool             // it was dropped, and comes back
	With  bool             // it has a grid
	Lacks bool             // it has none
	Last  bool             // it is the last one
	Near  bool             // it was told moments ago, or the line means none
	Whose bool             // it says of a grid whose it is
	Fills bool             // it may answer what is asked of the call or the grid, and else means none
	Mark  string           // the mark that its call has
	Bare  bool             // or has not
	Maybe bool             // what it says is asked
	Guess bool             // it has words that a line about a contact of before has: while a bird is up it means none of another pass
	Words string           // behind it: they may say which pass
}

// IsBirded reports whether a naming says which bird a contact was on, or was not.
func (n Naming) IsBirded() bool { return n.Bird != "" || n.Off != "" }

// Means is what a naming says of a contact with a call, ok is false if it means another.
// A call without marks names its station under any, and leaves them to it.
func (n Naming) Means(call parse.Callsign) (says string, ok bool) {
	i := slices.Index(n.Calls, call)
	exact := i >= 0
	if !exact {
		i = slices.IndexFunc(n.Calls, func(said parse.Callsign) bool { return said.Names(call) })
	}
	if len(n.Calls) == 0 {
		i = 0
	}
	if i < 0 || n.Says == nil {
		return "", i >= 0
	}
	says = n.Says[i]
	if right, err := parse.ParseCallsign(says); err == nil && !exact {
		says = right.MarkedAs(call).String()
	}
	return says, true
}

// TellsGrid reports whether a naming says of a call which grid it gave.
func (n Naming) TellsGrid() bool {
	if len(n.Calls) != 1 || len(n.Says) != 1 {
		return false
	}
	_, err := parse.ParseGrid(n.Says[0])
	return err == nil
}

// Turned is a naming that fills in the call of a grid as one that says the grid of that call.
func (n Naming) Turned() (turned Naming, ok bool) {
	if !n.Fills || len(n.Grids) != 1 {
		return n, false
	}
	call, err := parse.ParseCallsign(n.Says[0])
	return Naming{Calls: []parse.Callsign{call}, Says: []string{n.Grids[0].String()}, Whose: true}, err == nil
}

const (
	anyCall  = "hx0x" // in the place of a call
	oneWord  = `([a-z0-9/]{3,})`
	gridForm = `[a-r]{2}[0-9]{2}(?:[a-x]{2})?`
	itsOwn   = `(?:['’]?s| no)?` // behind a call
	ends     = `[.!\s]*$`
)

// namingBy is the form of a line that says of one word by another what it should be.
func namingBy(head, verb string) *regexp.Regexp {
	of := "(?: " + forms["half"] + "(?: " + forms["of"] + ")?)?"
	return regexp.MustCompile(`(?i)^\s*` + head + oneWord + itsOwn + onSome + of + ",? " + verb + `:? +(?:` + forms["in"] + ` |` + forms["likewise"] + ` )?(?P<right>[a-z0-9/]{3,})` +
		notOne + `(?:,? (?P<words>.+?))?` + ends)
}

var (
	// onSome is a day, or words for a pass, between a contact and what is said of it.
	onSome = "(?:,? (?:" + forms["on"] + " (?P<day>.+?)|(?P<dayAlone>" + forms["day"] + ")))?"
	notOne = `(?:,? ` + forms["not"] + ` (?:` + forms["in"] + ` )?(?P<wrong>[a-z0-9/]{3,}))?`
)

// groupOf is what a form found in the groups whose names begin so, of which one has something.
func groupOf(form *regexp.Regexp, m []string, name string) (found string) {
	for i, group := range form.SubexpNames() {
		if strings.HasPrefix(group, name) {
			found += m[i]
		}
	}
	return found
}

var (
	theCall = forms["half"] + "(?: " + forms["of"] + `)?[:,]?\s+`
	correct = forms["corrects"] + `(?:[:,.]*\s+(?:` + theCall + ")?)"
	leads   = "(?:(?:" + forms["no"] + "|" + forms["meant"] + ")[,:.!]* )*"
	isVerb  = "(?:" + forms["is"] + "(?: " + forms["really"] + ")?|" + forms["instead"] + ")"
	namings = []*regexp.Regexp{
		namingBy(leads+"(?:"+correct+"|"+theCall+")?", isVerb),
		namingBy(correct, forms["into"]),
		regexp.MustCompile(`(?i)^\s*` + leads + oneWord + `['’]?s ` + forms["half"] + `:? +(?P<right>[a-z0-9/]{3,})` + notOne + ends),
	}
	outcome  = "(?:(" + forms["worked"] + "|" + forms["right"] + ")|(" + forms["missed"] + "|" + forms["wrong"] + "))"
	outcomes = regexp.MustCompile(`(?i)^\s*(?:(?:yes|no),? +)?` + oneWord + "(?:,? (" + gridForm + "))?,? " + outcome + `(?:,? (.+?))?` + ends)
	backs    = []*regexp.Regexp{
		regexp.MustCompile("(?i)(?:^|[^\\pL])" + forms["bring"] + " (.*?) ?" + forms["back"] + "\\b,? ?(.*?)" + ends),
		regexp.MustCompile("(?i)(?:^|[^\\pL])" + forms["restore"] + " (.+?)()" + ends),
	}
	because = regexp.MustCompile("(?i)^" + forms["because"] + "$")
	withOne = regexp.MustCompile("(?i)\\b" + forms["with"] + "\\b")
	without = regexp.MustCompile("(?i)\\b" + forms["without"] + "\\b")
	ofGrid  = regexp.MustCompile(`(?i)^\s*` + forms["drop"] + `(?: ` + forms["article"] + `)? (` + gridForm + `)(?: ` + forms["noun"] + `)?` + ends)
	named   = regexp.MustCompile(`(?i)^\s*` + forms["drop"] + `(?: ` + forms["article"] + `)?(?: ` + forms["half"] + `)? ` + oneWord +
		`(?: ` + forms["noun"] + `)?(?:,? (.+?))?` + ends)
	dropBehind = regexp.MustCompile(`(?i)^\s*` + oneWord + "(?:,? " + gridForm + ")?,? (?:" + forms["is"] + " )?(?:" + forms["please"] + " )?" + forms["drop"] + "(?:,? " + forms["please"] + ")?()" + ends)
	corrects   = regexp.MustCompile(`(?i)^\s*` + leads + forms["corrects"] + `\b`)
	onDay      = regexp.MustCompile("(?is)^(?:" + forms["on"] + " )?(.*)$")

	// asides say of a call, with the word for it, what else a contact should be; in the last
	// one that word comes first.
	nameWords = `(\pL[\pL'’-]*(?: \pL[\pL'’-]*)?)(?: desu)?`
	lead      = `(?i)^\s*` + leads + "(?:" + correct + ")?"
	asides    = []*regexp.Regexp{
		regexp.MustCompile(lead + oneWord + itsOwn + " (" + forms["name"] + ") (?:" + forms["is"] + " )?" + nameWords + ends),
		regexp.MustCompile(lead + oneWord + itsOwn + " (" + forms["called"] + ") " + nameWords + ends),
		regexp.MustCompile(lead + oneWord + itsOwn + "(?: " + isVerb + "| (" + forms["report"] + "):?(?: " + isVerb + ")?)" + ` ([1-5][1-9][1-9]?(?:,? ` + forms["not"] + ` [1-5][1-9][1-9]?)?)` + ends),
		regexp.MustCompile(lead + oneWord + itsOwn + "(?: " + isVerb + "| (" + forms["clock"] + "|" + forms["at"] + "):?(?: " + isVerb + ")?)" + " ((?:" + forms["at"] + " )?" + momentForm + ")" + ends),
		regexp.MustCompile(lead + "(" + forms["name"] + "|" + forms["report"] + "|" + forms["clock"] + ") " + forms["of"] + " " + oneWord + " " + isVerb + ` (\S+(?: \pL\S*)?)` + ends),
	}
	// ofLast say what the last contact should be.
	ofLast = []*regexp.Regexp{
		regexp.MustCompile(lead + forms["last"] + "(?: (?:" + forms["noun"] + "|" + forms["half"] + "))?,? " + isVerb + ":? (?:" + forms["in"] + " )?" + `(?P<right>[a-z0-9/]{3,})` + notOne + ends),
		regexp.MustCompile(lead + forms["last"] + " (?:" + forms["noun"] + "|" + forms["half"] + ")[,:]? (?:" + forms["in"] + " )?" + `(?P<right>[a-z0-9/]{3,})` + notOne + ends),
	}
	// lastLead leads to what is said of the last contact beside call and grid, as of a call.
	lastLead = regexp.MustCompile(lead + forms["last"] + "(?: " + forms["noun"] + ")?( .+)$")
	verbed   = regexp.MustCompile("(?i) (?:" + isVerb + "|" + forms["called"] + ") ")
	// birds say of a call, and perhaps a grid and a time, which bird it was on, or was not.
	besideCall = "((?:,? " + gridForm + ")?(?:,? " + momentForm + ")?)"
	onBird     = "(?:" + forms["on"] + " )?"
	birds      = []*regexp.Regexp{
		regexp.MustCompile(lead + oneWord + besideCall + ",? (?:" + isVerb + " )?" + forms["not"] + " " + onBird + "(?P<off>.+?)(?:[,;:.]+| " + forms["but"] + ") (?:" +
			forms["but"] + " )?(?:" + forms["it"] + " )?(?:" + isVerb + " )?" + onBird + "(?P<bird>.+?)" + ends),
		regexp.MustCompile(lead + oneWord + besideCall + ",? (?:" + isVerb + " )?" + forms["not"] + " " + onBird + "(?P<off>.+?)(?P<bird>)" + ends),
		regexp.MustCompile(lead + oneWord + besideCall + ",? " + isVerb + " " + onBird + "(?P<bird>.+?)(?:,? " + forms["not"] + " " + onBird + "(?P<off>.+?))?" + ends),
	}
	// lastBird says it of the last contact, or of the last one on a bird.
	lastBird = regexp.MustCompile(`(?i)^\s*(?:(?:(?:` + forms["no"] + "|" + forms["meant"] + ")[,:.!]* )+" + forms["it"] + "|" + forms["article"] + " (?P<off>.+?) " +
		forms["noun"] + "|(?:" + forms["no"] + "[,:.!]* )*" + forms["last"] + "(?: " + forms["noun"] + ")?) " + isVerb + " " + onBird + "(?P<bird>.+?)" + ends)
	moved = regexp.MustCompile(lead + forms["move"] + " " + oneWord + "(?: (?:" + forms["on"] + "|" + forms["in"] + ") (?P<off>.+?))? " + forms["into"] + " (?P<bird>.+?)" + ends)
	// byGrid say which grid was wrong, and which is right.
	byGrid = []*regexp.Regexp{
		regexp.MustCompile(lead + "(" + gridForm + "),? " + forms["wrong"] + "[,.]* (?:" + forms["it"] + "(?:['’]?s)? )?(?:" + isVerb + " )?(" + gridForm + ")" + ends),
		regexp.MustCompile(lead + "(" + gridForm + "),? " + isVerb + " (" + gridForm + ")" + ends),
		regexp.MustCompile(`(?i)^\s*` + correct + "(" + gridForm + "),? " + forms["into"] + " (" + gridForm + ")" + ends),
	}
	// answers say which call, or which grid, is the one that is asked for.
	itWas   = regexp.MustCompile(`(?i)^\s*(?:` + forms["it"] + "|(?:" + forms["it"] + " )?" + forms["half"] + ") " + isVerb + `:? ([a-z0-9/]{3,})` + ends)
	gridWas = regexp.MustCompile(`(?i)^\s*(` + gridForm + "),? " + isVerb + `:? (?:` + forms["of"] + ` )?([a-z0-9/]{3,})` + ends)
	// regridded says of a call which of its grids was wrong, and which is right.
	regridded = regexp.MustCompile(lead + oneWord + ",? (" + gridForm + "),? " + isVerb + " (?:" + forms["in"] + " )?(" + gridForm + ")" + ends)
)

// worked reads a line that says of a contact by its call, and perhaps its grid, whether
// there was one.
func worked(line string) (n Naming, ok bool) {
	if n, ok := sentenced(line); ok {
		return n, true
	}
	m := outcomes.FindStringSubmatch(line)
	if m == nil {
		return n, false
	}
	outcome, words := outcomeOf(m[3]), WithoutOn(polite.ReplaceAllString(" "+m[5], ""))
	fine := isRight.MatchString(m[3])
	if fine && words != "" || slices.ContainsFunc(strings.FieldsFunc(words, between), isHalf) {
		return n, false
	}
	call, err := parse.ParseCallsign(m[1])
	n = Naming{Calls: []parse.Callsign{call}, Says: []string{outcome}, Open: true, Words: words, Fine: fine}
	if m[2] == "" {
		return n, err == nil
	}
	grid, none := parse.ParseGrid(m[2])
	n.Grids = []parse.Grid{grid}
	return n, err == nil && none == nil
}

// besides reads a line that says of a contact by its call its name, its report or its
// time.
func besides(line string) (n Naming, ok bool) {
	for i, form := range asides {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		word, of, says := m[1], m[2], m[3]
		switch {
		case i == len(asides)-1:
			word, of = of, word
		case i < 2:
			of = "name"
		case i == 2:
			of = "rst"
		}
		call, err := parse.ParseCallsign(word)
		n = Naming{Calls: []parse.Callsign{call}, Says: []string{aside(of, says)}, Aside: true, Plain: !verbed.MatchString(line), Timed: moments.MatchString(says)}
		return n, err == nil
	}
	call, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
	if _, ok := Aside(rest); ok {
		said, err := parse.ParseCallsign(call)
		return Naming{Calls: []parse.Callsign{said}, Says: []string{rest}, Aside: true, Plain: true}, err == nil
	}
	return n, false
}

// birded reads a line that says which bird a contact was on, or was not: one that it names by
// its call, or else the last one.
func birded(line string, isBird func(string) bool) (n Naming, ok bool) {
	for _, form := range slices.Concat(birds, []*regexp.Regexp{moved, lastBird}) {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		n = Naming{Says: []string{""}, Aside: true, Bird: m[form.SubexpIndex("bird")], Off: m[form.SubexpIndex("off")]}
		if form != lastBird {
			call, err := parse.ParseCallsign(m[1])
			if err != nil {
				continue
			}
			n.Calls = []parse.Callsign{call}
		}
		if form != lastBird && form != moved {
			n.Says[0] = strings.TrimLeft(m[2], ", ")
		}
		if (n.Bird == "" || isBird(n.Bird)) && (n.Off == "" || isBird(n.Off)) {
			return n, true
		}
	}
	return Naming{}, false
}

// brought reads a line that says that a contact which was dropped comes back. Its call may
// stand before that.
func brought(line string) (n Naming, ok bool) {
	for _, form := range backs {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		for word := range strings.FieldsFuncSeq(line, func(r rune) bool { return strings.ContainsRune(" ,.:;!", r) }) {
			if call, err := parse.ParseCallsign(word); err == nil && !slices.Contains(n.Calls, call) {
				n.Calls = append(n.Calls, call)
			}
		}
		n.Back, n.Sure = true, true
		n.tell(m[1] + " " + m[2])
		return n, len(n.Calls) == 1
	}
	return n, false
}

// tell takes words that tell a contact from others of its call; the rest stays.
func (n *Naming) tell(words string) {
	n.Lacks = without.MatchString(words)
	n.With = !n.Lacks && withOne.MatchString(words)
	for word := range strings.FieldsSeq(words) {
		if grid, err := parse.ParseGrid(word); err == nil && grid.Chars() >= 4 {
			n.Grids = append(n.Grids, grid)
		}
	}
}

// misplaced reads a line that names a contact by the grid that was wrong.
func misplaced(line string) (n Naming, ok bool) {
	if m := ofGrid.FindStringSubmatch(line); m != nil {
		grid, err := parse.ParseGrid(m[1])
		return Naming{Grids: []parse.Grid{grid}, Sure: true}, err == nil
	}
	for _, form := range byGrid {
		if m := form.FindStringSubmatch(line); m != nil {
			wrong, err := parse.ParseGrid(m[1])
			return Naming{Grids: []parse.Grid{wrong}, Says: []string{m[2]}, Sure: true}, err == nil
		}
	}
	return n, false
}

// amended reads a line that says of the last contact what it should be, or of a call with
// its grid which grid.
func amended(line string) (n Naming, ok bool) {
	if m := regridded.FindStringSubmatch(line); m != nil {
		call, err := parse.ParseCallsign(m[1])
		grid, none := parse.ParseGrid(m[2])
		return Naming{Calls: []parse.Callsign{call}, Says: []string{m[3]}, Grids: []parse.Grid{grid}, Sure: true}, err == nil && none == nil
	}
	if m := itWas.FindStringSubmatch(line); m != nil {
		return Naming{Says: []string{m[1]}, Last: true, Fills: true}, isHalf(m[1])
	}
	if told, ok := Aside(line); ok && !strings.Contains(told.Name, " ") { // of whoever was told right before
		return Naming{Says: []string{line}, Last: true, Near: true, Aside: true}, true
	}
	if m := gridWas.FindStringSubmatch(line); m != nil {
		grid, none := parse.ParseGrid(m[1])
		_, err := parse.ParseCallsign(m[2])
		return Naming{Says: []string{m[2]}, Grids: []parse.Grid{grid}, Fills: true}, err == nil && none == nil
	}
	if m := lastLead.FindStringSubmatch(line); m != nil {
		if n, ok := besides(anyCall + m[1]); ok {
			n.Calls, n.Last, n.Plain, n.Sure = nil, true, false, true
			return n, true
		}
	}
	for _, form := range ofLast {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		right, wrong := groupOf(form, m, "right"), groupOf(form, m, "wrong")
		n = Naming{Says: []string{right}, Sure: true, Last: true}
		if !isHalf(right) || wrong != "" && !isHalf(wrong) {
			continue
		}
		if grid, err := parse.ParseGrid(wrong); err == nil {
			n.Grids = []parse.Grid{grid}
		} else if call, err := parse.ParseCallsign(wrong); err == nil {
			n.Calls = []parse.Callsign{call}
		}
		return n, true
	}
	return n, false
}

// isHalf reports whether a word is a call, or a grid.
func isHalf(word string) bool {
	_, noCall := parse.ParseCallsign(word)
	_, noGrid := parse.ParseGrid(word)
	return noCall == nil || noGrid == nil
}

// WithoutOn is a text without the word that leads to a day or a pass.
func WithoutOn(text string) string { return onDay.FindStringSubmatch(strings.TrimSpace(text))[1] }

// Named reads a line that says of a contact by its call what it should be, or that it
// goes; isBird tells the names of birds.
func Named(line string, isBird func(string) bool) (n Naming, ok bool) {
	if m := dayFirst.FindStringSubmatch(line); m != nil {
		if n, ok := Named(m[2], isBird); ok && len(n.Calls) > 0 && n.Words == "" && !n.Guess {
			n.Words = m[1]
			return n, true
		}
	}
	for _, read := range []func(string) (Naming, bool){worked, brought, misplaced, marked, amended, besides} {
		if n, ok := read(line); ok {
			return n, true
		}
	}
	m := named.FindStringSubmatch(line)
	if m == nil {
		m = dropBehind.FindStringSubmatch(line)
	}
	if m != nil {
		rest := m[len(m)-1]
		call, err := parse.ParseCallsign(m[1])
		n = Naming{Calls: []parse.Callsign{call}, Sure: true, Words: WithoutOn(rest)}
		if others := callsBehind(rest); others != nil {
			n.Calls, n.Words = append(n.Calls, others...), ""
			return n, err == nil
		}
		n.tell(rest)
		if told := n.With || n.Lacks || n.Grids != nil; told || because.MatchString(rest) {
			n.Words = ""
		}
		return n, err == nil
	}
	for _, form := range namings {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		if n, ok := put(form, m, corrects.MatchString(line)); ok {
			return n, true
		}
		break
	}
	if n, ok := birded(line, isBird); ok {
		return n, true
	}
	if n, ok := recalled(line); ok {
		return n, true
	}
	return amiss(line)
}

var callNoCall = regexp.MustCompile(`(?i)^\s*` + oneWord + ",? (?:(?:" + forms["no"] + "|" + forms["nay"] + ")[,:.!]* )+(?:" + forms["it"] + "(?:['’]?s)? )?(?:" + isVerb + " )?" + oneWord + ends)

// recalled reads a line that takes a call back and tells one like it, "F0ZZD no F0ZZQ": where
// more than a symbol differs, that is asked.
func recalled(line string) (n Naming, ok bool) {
	m := callNoCall.FindStringSubmatch(line)
	if m == nil {
		return n, false
	}
	wrong, noWrong := parse.ParseCallsign(m[1])
	right, noRight := parse.ParseCallsign(m[2])
	if noWrong != nil || noRight != nil || wrong == right {
		return n, false
	}
	slips := slip.Slips(wrong.Base(), right.Base())
	return Naming{Calls: []parse.Callsign{wrong}, Says: []string{right.String()}, Plain: true, Maybe: slips > 1}, slips <= 2
}

// callsBehind are the calls that a text goes on with, and nothing else: ", hx7abc and di4zab".
func callsBehind(text string) (calls []parse.Callsign) {
	for word := range strings.FieldsFuncSeq(text, func(r rune) bool { return strings.ContainsRune(" ,.", r) }) {
		call, err := parse.ParseCallsign(word)
		switch {
		case err == nil:
			calls = append(calls, call)
		case !andAlone.MatchString(word):
			return nil
		}
	}
	return calls
}

var (
	isRight  = regexp.MustCompile("(?i)^" + forms["right"] + "$")
	dayFirst = regexp.MustCompile("(?is)^\\s*(" + forms["day"] + ")[,:]? (.+)$")
	polite   = regexp.MustCompile("(?i)(?:^|[ ,]+)" + forms["polite"] + "$")
	hedge    = regexp.MustCompile("(?i)(?:^|[ ,]+)" + forms["hedge"] + "$")
	andAlone = regexp.MustCompile("(?i)^" + forms["and"] + "$")
)

// put reads what a form found in a line that says of a contact by its call what it should
// be, be it with a word of correction; false if that is no call and no grid.
func put(form *regexp.Regexp, m []string, corrected bool) (n Naming, ok bool) {
	word, other, not := m[1], groupOf(form, m, "right"), groupOf(form, m, "wrong")
	call, err := parse.ParseCallsign(word)
	if err != nil {
		return n, false
	}
	words := polite.ReplaceAllString(groupOf(form, m, "words"), "")
	bare := hedge.ReplaceAllString(words, "")
	n = Naming{Calls: []parse.Callsign{call}, Says: []string{other}, Sure: true, Maybe: bare != words}
	n.Words = strings.TrimSpace(groupOf(form, m, "day") + " " + WithoutOn(bare))
	if grid, err := parse.ParseGrid(n.Words); err == nil { // "PA0ZZA is PA0ZZB JO22": that it has
		n.Grids, n.Words = []parse.Grid{grid}, ""
	}
	if second, err := parse.ParseCallsign(other); err == nil && not == "" {
		if second.Base() != call.Base() { // else one mark is right, and the other was wrong
			n.Calls, n.Says = append(n.Calls, second), append(n.Says, word)
		}
		return n, true
	}
	wrong, err := parse.ParseGrid(not)
	if n.Sure = corrected; err == nil {
		n.Grids, n.Sure = []parse.Grid{wrong}, true
	}
	_, noGrid := parse.ParseGrid(other)
	return n, noGrid == nil && (not == "" || err == nil)
}

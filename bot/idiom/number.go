package idiom

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"skyslate/parse"
)

// Numbers are the contacts that a line names by their numbers on a pass, as echoes and lists
// show them: "3 is /p", "drop 3", "name of 1 is Olle". A list that numbers its own lines
// ("3 hx7abc jo33") does not.
type Numbers struct {
	All   []int
	Place Place  // what they count
	Says  string // of each of them
	Words string // behind it: they say which pass
}

// A Place says what the numbers of contacts count.
type Place int

// What numbers count.
const (
	OfLists   Place = iota // they are those that echoes and lists show
	FromFirst              // the contacts of the pass: "the second one"
	FromLast               // those, from the last one back: "the one before last", "the last two"
	OfTwo                  // all of them, which are two: "both"
)

var (
	numberForm    = "(?:" + forms["number"] + ` )?#?(?P<number>\d{1,3})`
	numbersForm   = "(?:" + forms["number"] + ` )?(#?\d{1,3}(?:(?:, ?| | ?[-–] ?)(?:` + forms["and"] + ` )?#?\d{1,3})*)`
	numberDropped = regexp.MustCompile(`(?i)^\s*(?:` + forms["drop"] + " " + numbersForm + "|" + numbersForm + " " + forms["drop"] + `)` +
		`(?:,? ` + forms["on"] + ` (.+?))?(?:,? ` + forms["please"] + `)?\s*[.!]?\s*$`)
	numberWorked   = regexp.MustCompile(`(?i)^\s*` + numbersForm + " (?:" + forms["is"] + ` )?(` + forms["state"] + `)\s*[.!]?\s*$`)
	numberMoved    = regexp.MustCompile(`(?i)^\s*` + forms["move"] + " " + numbersForm + "(?: " + forms["on"] + " (.+?))? " + forms["into"] + " (.+?)" + ends)
	numbersAre     = regexp.MustCompile(`(?i)^\s*` + numbersForm + " (?:" + forms["all"] + " )?" + forms["are"] + " (?:" + forms["all"] + " )?" + `(\S.*)$`)
	numberUnmarked = regexp.MustCompile(`(?i)^\s*` + numbersForm + " (?:" + forms["is"] + " )?(" + forms["not"] + ` /?[a-z ]+?)` + ends)
	// numberReport has one digit and a good report: "12 57" is rather a time.
	numberReport = regexp.MustCompile("(?i)^\\s*(?:" + forms["number"] + ` )?#?(\d) ([45][1-9])` + ends)
	// numberSays are forms with a number, perhaps the word for what is put right, and that.
	numberSays = []*regexp.Regexp{
		regexp.MustCompile(`(?i)^\s*(?:(?P<dayBefore>` + forms["day"] + "),? )?" + numberForm + onSome + " (?:" + aspect + " |" + forms["state"] + " )?" + forms["is"] + `:? +(?P<says>\S.*)$`),
		regexp.MustCompile(`(?i)^\s*` + numberForm + `(?:['’]s)? ` + aspect + `:? +(?P<says>\S.*)$`),
		regexp.MustCompile(`(?i)^\s*` + forms["corrects"] + `[:,.]* +` + numberForm + "(?: " + aspect + ")? (?:" + forms["into"] + "|" + forms["is"] + `):? +(?P<says>\S.*)$`),
		regexp.MustCompile(`(?i)^\s*` + numberForm + "(?: " + forms["at"] + ")? (?P<says>" + momentForm + `)\s*$`),
		regexp.MustCompile(`(?i)^\s*` + numberForm + "(?: " + forms["in"] + ")? (?P<says>" + gridForm + ")" + ends),
		regexp.MustCompile(`(?i)^\s*(?:` + forms["corrects"] + `[:,.]* +)?` + aspect + " " + forms["of"] + " " + numberForm +
			" (?:" + forms["is"] + "|" + forms["into"] + `):? +(?P<says>\S.*)$`),
	}
)

// A place is a form that names contacts by their place, with the number that stands for it.
type place struct {
	form   *regexp.Regexp
	number string
	counts Place
}

// places are those forms, behind words that may lead to a number.
var places = func() (all []place) {
	heads := `(?i)^(\s*(?:(?:` + forms["drop"] + "|" + forms["corrects"] + "|" + forms["move"] + ")[:,.]* +)?)(?:" + forms["article"] + " )?"
	ofDay := func(place string) *regexp.Regexp {
		return regexp.MustCompile(`(?i)^(\s*` + forms["day"] + `)(?:['’]s)? (?:` + forms["article"] + " )?" + place + "(?: " + forms["noun"] + `)?\b`)
	}
	all = append(all, place{ofDay(forms["last"]), " 1", FromLast})
	for number := 1; number <= 5; number++ {
		n := strconv.Itoa(number)
		all = append(all, place{regexp.MustCompile(heads + forms[n] + " " + forms["noun"] + `\b`), n, FromFirst},
			place{ofDay(forms[n]), " " + n, FromFirst},
			place{regexp.MustCompile(`(?i)^(\s*` + forms["drop"] + " )(?:" + forms["article"] + " )?" + forms[n] + `\b`), n, FromFirst},
			place{regexp.MustCompile(heads + forms["figure "+n] + `\b`), n, OfLists})
	}
	return append(all,
		place{regexp.MustCompile(heads + forms["before"] + `(?:\b|$)`), "2", FromLast},
		place{regexp.MustCompile(heads + forms["lasttwo"] + `\b`), "1, 2", FromLast},
		place{regexp.MustCompile(heads + forms["both"] + `\b`), "1, 2", OfTwo})
}()

// momentForm is a time of day, to the second or not, or an offset from the slate.
var momentForm = `((?:[01]?\d|2[0-3])[:.][0-5]\d(?::[0-5]\d)?(?: ?(?:utc|z|` + forms["local"] + `))?|:[0-5]\d|\+\d\S*)`

// What a line says of a contact that it drops, and of one that was made, or was not.
const (
	dropped   = "drop it"
	wasWorked = "worked"
	wasNot    = "not worked"
)

// Numbered reads a line that names contacts by their numbers, or by their places; false if
// it is no such line.
func Numbered(line string) (n Numbers, ok bool) {
	counts := OfLists
	for _, p := range places {
		if p.form.MatchString(line) {
			line, counts = p.form.ReplaceAllString(line, "${1}"+p.number), p.counts
			break
		}
	}
	n, ok = numbered(line)
	n.Place = counts
	return n, ok
}

// numbered reads a line with the numbers of contacts.
func numbered(line string) (n Numbers, ok bool) {
	if m := numberDropped.FindStringSubmatch(line); m != nil {
		return Numbers{All: numbersIn(m[1] + m[2]), Says: dropped, Words: m[3]}, true
	}
	if m := numberUnmarked.FindStringSubmatch(line); m != nil {
		if _, ok := NotMarked(m[2]); ok {
			return Numbers{All: numbersIn(m[1]), Says: m[2]}, true
		}
	}
	if m := numberMoved.FindStringSubmatch(line); m != nil {
		return Numbers{All: numbersIn(m[1]), Says: m[3], Words: m[2]}, true
	}
	if m := numberWorked.FindStringSubmatch(line); m != nil {
		return Numbers{All: numbersIn(m[1]), Says: m[2]}, true
	}
	if m := numberReport.FindStringSubmatch(line); m != nil {
		return Numbers{All: numbersIn(m[1]), Says: "rst " + m[2]}, true
	}
	if m := numbersAre.FindStringSubmatch(line); m != nil {
		return Numbers{All: numbersIn(m[1]), Says: strings.TrimSpace(m[2])}, true
	}
	for _, form := range numberSays {
		if m := form.FindStringSubmatch(line); m != nil {
			return Numbers{
				All: numbersIn(groupOf(form, m, "number")), Says: aside(groupOf(form, m, "aspect"), groupOf(form, m, "says")),
				Words: groupOf(form, m, "day"),
			}, true
		}
	}
	return n, false
}

var wrongAlone = regexp.MustCompile("(?i)^" + forms["wrong"] + ends)

// IsWrong reports whether what is said of a contact is that it is wrong, and no more.
func IsWrong(says string) bool { return wrongAlone.MatchString(strings.TrimSpace(says)) }

var figures = regexp.MustCompile(`(\d+)(?: ?[-–] ?#?(\d+))?`)

// MostNumbers is how many contacts a line may name by their numbers. No pass has so many.
const MostNumbers = 100

// numbersIn are the numbers of a text, "1, 3 and 5-7", each once; of more than a line may
// name one too many.
func numbersIn(text string) (all []int) {
	for _, m := range figures.FindAllStringSubmatch(text, -1) {
		n, _ := strconv.Atoi(m[1]) // digits, as matched
		last, _ := strconv.Atoi(cmp.Or(m[2], m[1]))
		for i := min(n, last); i <= max(n, last) && len(all) <= MostNumbers; i++ {
			if !slices.Contains(all, i) {
				all = append(all, i)
			}
		}
	}
	return all
}

// outcomeOf is what the words for one outcome, empty if they are for the other, say.
func outcomeOf(worked string) string {
	if worked == "" {
		return wasNot
	}
	return wasWorked
}

var (
	// aspect is what of a contact is put right.
	aspect   = "(?P<aspect>" + forms["half"] + "|" + forms["name"] + "|" + forms["report"] + "|" + forms["clock"] + ")"
	asName   = regexp.MustCompile("(?i)^" + forms["name"] + "$")
	asReport = regexp.MustCompile("(?i)^" + forms["report"] + "$")
	reports  = regexp.MustCompile(`(?i)^([1-5][1-9][1-9]?)(?:,? ` + forms["not"] + ` [1-5][1-9][1-9]?)` + ends)
	moments  = regexp.MustCompile("(?i)^(?:" + forms["at"] + " )?" + momentForm + ends)
)

var (
	tellsName   = regexp.MustCompile("(?i)^\\s*" + forms["name"] + ":? (?:" + isVerb + " )?" + nameWords + ends)
	tellsReport = regexp.MustCompile("(?i)^\\s*(?:" + forms["report"] + ":? (?:" + isVerb + " )?([1-5][1-9][1-9]?)|(?:" + forms["received"] + " )([3-5][1-9][1-9]?)(?: " + forms["from"] + ")?|s([1-9]))" + ends)
	tellsGiven  = regexp.MustCompile("(?i)^\\s*" + forms["given"] + " ([3-5][1-9][1-9]?)" + ends)
	// tellsPlace may have the name of who was worked behind the one of the place.
	tellsPlace = regexp.MustCompile(`(?i)^\s*(` + forms["place"] + `:? )(\pL[\pL'’-]*(?: \pL[\pL'’-]*){0,2}?)` +
		`(?:,? (?:` + forms["and"] + " )?" + forms["name"] + ":? (?:" + isVerb + " )?" + nameWords + ")?" + ends)
	bareReport = regexp.MustCompile("^\\s*(5[1-9][1-9]?)" + ends)
)

// BareReport reads figures that are all that is said of a contact as its report: with the
// readability that is nearly always given (common practice, no source).
func BareReport(text string) (report string, ok bool) {
	m := bareReport.FindStringSubmatch(text)
	if m == nil {
		return "", false
	}
	return m[1], true
}

// Aside reads what is told of a contact beside its call and grid: its name, its report, or
// the place where it is.
func Aside(text string) (told parse.Contact, ok bool) {
	if m := tellsPlace.FindStringSubmatch(text); m != nil {
		if _, err := parse.ParseGrid(m[2]); err == nil {
			return told, false
		}
		told.Comment = m[1] + m[2]
		if m[3] != "" {
			told.Name = capitalised(m[3])
		}
		return told, true
	}
	if m := tellsName.FindStringSubmatch(text); m != nil {
		return parse.Contact{Name: capitalised(m[1])}, true
	}
	if m := tellsReport.FindStringSubmatch(text); m != nil && m[3] != "" { // the strength alone, as BareReport
		return parse.Contact{Report: "5" + m[3]}, true
	} else if m != nil {
		return parse.Contact{Report: m[1] + m[2]}, true
	}
	if m := tellsGiven.FindStringSubmatch(text); m != nil {
		return parse.Contact{ReportSent: m[1]}, true
	}
	return told, false
}

// capitalised is a name as it is kept.
func capitalised(name string) string {
	words := strings.Fields(strings.ToLower(name))
	for i, word := range words {
		first, size := utf8.DecodeRuneInString(word)
		words[i] = string(unicode.ToUpper(first)) + word[size:]
	}
	return strings.Join(words, " ")
}

// aside is what is said of a contact as it would be told alone: "name Olle", "rst 55",
// "10:43"; anything else as it is.
func aside(of, says string) string {
	says = strings.TrimSpace(says)
	if m := reports.FindStringSubmatch(says); m != nil && !asName.MatchString(of) {
		return "rst " + m[1]
	}
	if m := moments.FindStringSubmatch(says); m != nil {
		return m[1]
	}
	switch {
	case asName.MatchString(of):
		return "name " + says
	case asReport.MatchString(of):
		return "rst " + says
	}
	return says
}

var givenBy = []*regexp.Regexp{
	regexp.MustCompile(`(?i)^\s*(?P<call>[a-z0-9/]{3,}),? ` + forms["half"] + `:? (?P<grid>` + gridForm + `)` + ends),
	regexp.MustCompile(`(?i)^\s*(?P<grid>` + gridForm + `),? ` + isVerb + `:? (?:` + forms["of"] + ` )?(?P<call>[a-z0-9/]{3,})` + ends),
}

// GridGiven reads a line that tells the grid of a station and nothing else, in words: "F0ZZD
// grid JN18", "JN18 is F0ZZD". A call and a grid alone may tell a new contact.
func GridGiven(line string) (call parse.Callsign, grid parse.Grid, ok bool) {
	for _, form := range givenBy {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		call, err := parse.ParseCallsign(m[form.SubexpIndex("call")])
		grid, none := parse.ParseGrid(m[form.SubexpIndex("grid")])
		if err == nil && none == nil {
			return call, grid, true
		}
	}
	return call, grid, false
}

package idiom

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Numbers are the contacts that a line names by their numbers on a pass, as echoes and lists
// show them: "3 is /p", "drop 3", "name of 1 is Olle". A list that numbers its own lines
// ("3 hx7abc jo33") does not.
type Numbers struct {
	All   []int
	Says  string // of each of them
	Words string // behind it: they say which pass
}

var (
	numberForm    = "(?:" + forms["number"] + ` )?#?(?P<number>\d{1,3})`
	numbersForm   = "(?:" + forms["number"] + ` )?(#?\d{1,3}(?:(?:, ?| | ?[-–] ?)(?:` + forms["and"] + ` )?#?\d{1,3})*)`
	numberDropped = regexp.MustCompile(`(?i)^\s*(?:` + forms["drop"] + " " + numbersForm + "|" + numbersForm + " " + forms["drop"] + `)` +
		`(?:,? ` + forms["on"] + ` (.+?))?(?:,? ` + forms["please"] + `)?\s*[.!]?\s*$`)
	numberWorked = regexp.MustCompile(`(?i)^\s*` + numbersForm + " (?:" + forms["is"] + ` )?(` + forms["state"] + `)\s*[.!]?\s*$`)
	numberMoved  = regexp.MustCompile(`(?i)^\s*` + forms["move"] + " " + numbersForm + "(?: " + forms["on"] + " (.+?))? " + forms["into"] + " (.+?)" + ends)
	numbersAre   = regexp.MustCompile(`(?i)^\s*` + numbersForm + " (?:" + forms["all"] + " )?" + forms["are"] + " (?:" + forms["all"] + " )?" + `(\S.*)$`)
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

// momentForm is a time of day, to the second or not, or an offset from the slate.
var momentForm = `((?:[01]?\d|2[0-3])[:.][0-5]\d(?::[0-5]\d)?(?: ?(?:utc|z|` + forms["local"] + `))?|:[0-5]\d|\+\d\S*)`

// What a line says of a contact that it drops, and of one that was made, or was not.
const (
	dropped   = "drop it"
	wasWorked = "worked"
	wasNot    = "not worked"
)

// Numbered reads a line that names contacts by their numbers; false if it is no such line.
func Numbered(line string) (n Numbers, ok bool) {
	if m := numberDropped.FindStringSubmatch(line); m != nil {
		return Numbers{All: numbersIn(m[1] + m[2]), Says: dropped, Words: m[3]}, true
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
	tellsReport = regexp.MustCompile("(?i)^\\s*" + forms["report"] + ":? (?:" + isVerb + " )?([1-5][1-9][1-9]?)" + ends)
	bareReport  = regexp.MustCompile("^\\s*(5[1-9][1-9]?)" + ends)
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

// Aside reads what is told of a contact beside its call and grid: its name, or its report.
func Aside(text string) (name, report string, ok bool) {
	if m := tellsName.FindStringSubmatch(text); m != nil {
		words := strings.Fields(strings.ToLower(m[1]))
		for i, word := range words {
			first, size := utf8.DecodeRuneInString(word)
			words[i] = string(unicode.ToUpper(first)) + word[size:]
		}
		return strings.Join(words, " "), "", true
	}
	if m := tellsReport.FindStringSubmatch(text); m != nil {
		return "", m[1], true
	}
	return "", "", false
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

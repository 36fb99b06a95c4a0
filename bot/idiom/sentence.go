package idiom

import (
	"regexp"
	"slices"

	"skyslate/parse"
)

var (
	// says say in a sentence that a contact was made, nays that it was not.
	says = []*regexp.Regexp{
		sentence("(?:(?:"+forms["yes"]+"|"+forms["nay"]+"),? +"+forms["did"]+"|"+forms["indeed"]+") ", "", "?"),
		sentence(forms["did"]+" ", "", ""),
		sentence("", ",? "+forms["indeed"]+"(?: "+forms["it"]+"| him| them)?", "?"),
		sentence("", ",? "+forms["did"]+"(?: "+forms["it"]+"| him| them)?", ""),
	}
	nays = []*regexp.Regexp{sentence(forms["neverwas"]+" ", "", "?"), sentence("", ",? "+forms["notmade"], "?")}
)

// sentence is the form of one that says of a call, behind a head or before a tail, whether there
// was a contact, with a day, a grid, and, if it must, a word for in the end.
func sentence(head, tail, may string) *regexp.Regexp {
	grid := func(name string) string {
		return "(?:[,:;]* (?:" + forms["half"] + " )?(?:(?:" + forms["is"] + "|" + forms["in"] + ") )?(?P<" + name + ">" + gridForm + "))?"
	}
	return regexp.MustCompile(`(?i)^\s*` + head + oneWord + grid("gridFirst") + tail + "(?:,? (?:" + forms["on"] + " )?(?P<day>" + forms["day"] + "))?" +
		grid("grid") + "(?:,? (?:" + forms["finally"] + "))" + may + grid("gridLast") + ends)
}

// sentenced reads a line that says in a sentence whether there was a contact with a call.
func sentenced(line string) (n Naming, ok bool) {
	for i, form := range slices.Concat(says, nays) {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		call, err := parse.ParseCallsign(m[1])
		if err != nil {
			continue
		}
		n = Naming{Calls: []parse.Callsign{call}, Says: []string{wasWorked}, Open: true, Words: groupOf(form, m, "day")}
		if i >= len(says) {
			n.Says[0] = wasNot
		}
		if told := groupOf(form, m, "grid"); told != "" {
			grid, err := parse.ParseGrid(told)
			n.Grids, ok = []parse.Grid{grid}, err == nil
			return n, ok
		}
		return n, true
	}
	return n, false
}

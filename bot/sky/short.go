package sky

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse"
	"skyslate/predict"
)

// stemForm is a name whose letters come first, and then its number.
var stemForm = regexp.MustCompile(`^([A-Za-z]{4,})[- ]?[0-9]+$`)

// withShort gives each bird its name without the number as one more name, "WICKET" of
// WICKET-1, where it means no other bird and can be no word of a contact.
func withShort(birds []predict.Bird) []predict.Bird {
	birds = slices.Clone(birds)
	for i, b := range birds {
		m := stemForm.FindStringSubmatch(b.Name)
		if m == nil {
			continue
		}
		isOther := func(o predict.Bird) bool {
			return o.Catalog != b.Catalog && slices.ContainsFunc(append([]string{o.Name, o.LogName}, o.Aliases...), func(name string) bool {
				return len(name) >= len(m[1]) && strings.EqualFold(name[:len(m[1])], m[1])
			})
		}
		if _, known := Find(birds, m[1]); !known && !slices.ContainsFunc(birds, isOther) && meansNothing(m[1]) {
			birds[i].Aliases = append(slices.Clip(b.Aliases), m[1])
		}
	}
	return birds
}

// meansNothing reports whether a word says nothing of a contact: no name, no doubt and no
// letter of a call that is spelled.
func meansNothing(word string) bool {
	contact := "HX7ABC JO33"
	beside := parse.Read(contact+" "+word, parse.Known{})[0].Contacts
	spelled := parse.Read("HX7 "+word+" "+word+" JO33", parse.Known{})[0].Contacts
	alone := parse.Read(word, parse.Known{})[0]
	return len(beside) == 1 && beside[0].Verdict == parse.Log && strings.EqualFold(beside[0].Comment, word) &&
		!slices.ContainsFunc(spelled, func(c parse.Contact) bool { return c.Call.IsValid() }) &&
		len(alone.Contacts) == 0 && !alone.Headed && !alone.Denies && !alone.Affirms && !alone.Withdraws && !alone.Asks
}

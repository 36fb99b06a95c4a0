package bot

import (
	"cmp"
	"fmt"
	"strings"

	"skyslate/storage"
)

const textNoBird = "without a bird"

const (
	maxCaption      = 900 // characters; a caption holds 1,024
	listedInCaption = 8
	namedInCaption  = 4 // contacts of a kind
)

// handOverText is the caption of a file: how many, from when to when, which
// passes, what is incomplete in it and what is doubtful and not.
func handOverText(o order, part []storage.Contact, passes []string, doubtful []storage.Contact) string {
	first, last := part[0].Time, part[len(part)-1].Time
	lines := []string{
		fmt.Sprintf("%s as %s in %s", count(len(part), "contact"), ownCalls(part), ownPlaces(part)),
		fmt.Sprintf("%s to %s UTC", first.UTC().Format("2 Jan 2006 15:04"), last.UTC().Format("2 Jan 15:04")),
	}
	if !o.from.IsZero() {
		lines = append(lines, fmt.Sprintf("Day: %s to %s UTC",
			o.from.UTC().Format("2 Jan 15:04"), o.to.UTC().Format("2 Jan 15:04")))
	}
	lines = append(lines, "Passes: "+some(passes, listedInCaption))
	if bare := only(part, func(c storage.Contact) bool { return c.State == storage.Incomplete }); len(bare) > 0 {
		lines = append(lines, "Without grid, included: "+some(eachName(bare), namedInCaption))
	}
	if len(doubtful) > 0 {
		lines = append(lines, "Doubtful, left out: "+some(eachName(doubtful), namedInCaption))
	}
	return clip(strings.Join(wrapAll(lines), "\n"), maxCaption)
}

// some names the first of a list and counts the rest.
func some(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}

func ownCalls(part []storage.Contact) string {
	return distinct(part, func(c storage.Contact) string { return c.OwnCall.String() })
}

func ownPlaces(part []storage.Contact) string {
	return distinct(part, func(c storage.Contact) string { return gridList(c.OwnGrids) })
}

// distinct names what contacts have, each once.
func distinct(contacts []storage.Contact, of func(storage.Contact) string) string {
	var names []string
	seen := map[string]bool{}
	for _, c := range contacts {
		name := of(c)
		if !seen[name] {
			names = append(names, cmp.Or(name, "unknown place"))
		}
		seen[name] = true
	}
	return some(names, 4)
}

func slowFileText(n int) string {
	return strings.Join(wrap(fmt.Sprintf("Writing %s: the file follows in a moment.", count(n, "contact")), ""), "\n")
}

func nothingToHandOverText(word string, doubtful []storage.Contact) string {
	text := "Nothing to hand over"
	switch word {
	case "":
		text += ": nothing new is logged."
	case adifAll:
		text += ": nothing is logged yet."
	case adifPass:
		text += ": nothing is logged on that pass."
	default:
		text += " for " + word + "."
	}
	if len(doubtful) > 0 {
		text += " Doubtful, to be answered first: " + contactNames(doubtful) + "."
	}
	return strings.Join(wrap(text, ""), "\n")
}

func badAdifText(word string) string {
	return strings.Join(wrap("“"+noteText(word, 20)+"” is no span of time. Say /adif, /adif pass, /adif today, /adif all, or a UTC date: /adif 2026-11-24. With “together” one file holds all your calls and places.", ""), "\n")
}

// sinceTexts say what became of contacts that were handed over before: which
// entries to delete elsewhere, since a file can only add. They are as many
// messages as it takes.
func sinceTexts(h handing) []string {
	var blocks [][]string
	for _, a := range h.changed {
		blocks = append(blocks, append(wrap("- "+entryName(a.was), "  "), indented("now "+changeText(a))...))
	}
	for _, c := range h.withdrawn {
		blocks = append(blocks, append(wrap("- "+entryName(c), "  "), "  withdrawn"))
	}
	if len(blocks) > 0 {
		blocks = append([][]string{{"Handed over before: delete these", "entries there, a file can't do it."}}, blocks...)
	}
	if len(h.added) > 0 {
		for _, line := range wrap("Added to passes handed over before: "+strings.Join(eachName(h.added), ", "), "  ") {
			blocks = append(blocks, []string{line})
		}
	}
	return pages(blocks)
}

func eachName(contacts []storage.Contact) []string {
	var names []string
	for _, c := range contacts {
		names = append(names, contactName(c))
	}
	return names
}

// pages puts blocks of lines into texts of at most textLines each.
func pages(blocks [][]string) []string {
	var texts []string
	var page []string
	for _, block := range blocks {
		if len(page) > 0 && len(page)+len(block) > textLines {
			texts = append(texts, strings.Join(page, "\n"))
			page = nil
		}
		page = append(page, block...)
	}
	if len(page) > 0 {
		texts = append(texts, strings.Join(page, "\n"))
	}
	return texts
}

// indented breaks a text into lines that belong to the one above.
func indented(s string) []string {
	// The dash takes the place of the indent while lines are broken.
	lines := wrap("- "+s, "  ")
	lines[0] = "  " + strings.TrimPrefix(lines[0], "- ")
	return lines
}

// entryName names an entry of a log so that it is found there.
func entryName(c storage.Contact) string {
	return strings.Join(strings.Fields(fmt.Sprintf("%s %s %s", contactName(c),
		c.Time.UTC().Format("2 Jan 15:04"), c.Bird.Name)), " ")
}

// changeText says what an entry is now, as far as it differs.
func changeText(a amended) string {
	now := a.now
	text := contactName(now)
	if !now.Time.Equal(a.was.Time) {
		text += " " + now.Time.UTC().Format("2 Jan 15:04")
	}
	if now.Bird != a.was.Bird {
		text += " " + now.Bird.Name
	}
	if now.OwnCall != a.was.OwnCall {
		text += " as " + now.OwnCall.String()
	}
	if gridList(now.OwnGrids) != gridList(a.was.OwnGrids) {
		text += " from " + gridList(now.OwnGrids)
	}
	return text
}

package bot

import (
	"slices"
	"strings"

	"skyslate/bot/exchange"
	"skyslate/bot/lists"
	"skyslate/bot/outing"
	"skyslate/parse"
)

// Commands that take words are said without a slash, too: "sked OX9QZT JO33 tomorrow". A line
// is one if it begins with the command's word, and all behind that is for it: else it may be
// a note, or a word about a contact.

// A plainCommand does what words for it say: as they were typed where some of them are kept.
type plainCommand struct {
	is          func(p *plan, words []string) bool
	run         func(p *plan, rest string)
	keeps, both bool
}

// saidAs is the command that a line which begins with a word may be.
func saidAs(word string) (c plainCommand, ok bool) {
	switch strings.TrimSuffix(word, ":") {
	case "outing":
		return plainCommand{is: func(_ *plan, words []string) bool { return outing.Names(words) }, run: (*plan).Outing}, true
	case "sked":
		return plainCommand{is: (*plan).isSked, run: (*plan).Sked, keeps: true}, true
	case "adif", "export":
		return plainCommand{is: (*plan).isHandOver, run: (*plan).handOver}, true
	case "log":
		return plainCommand{is: (*plan).isLogOf, run: (*plan).showLog, both: true}, true
	case "passes":
		return plainCommand{is: (*plan).NamesPasses, run: (*plan).ShowPasses, both: true}, true
	case "arm", "add":
		return plainCommand{is: (*plan).NamesPass, run: func(p *plan, rest string) { p.ArmMeant(rest, true) }}, true
	case "skip", "leave", "without":
		return plainCommand{is: (*plan).isSkipped, run: func(p *plan, rest string) { p.SkipMeant(p.Outings, rest) }}, true
	}
	return c, false
}

// plainFillers stand between the word of a command and what is for it.
var plainFillers = []string{"the", "my", "log", "for", "of", "from", "with", "pass", "at", "on", "a", "an", "out"}

// saidPlainly reads a message that is a command without its slash, with its words.
func (p *plan) saidPlainly(text string) (command plainCommand, rest string, ok bool) {
	told := false // in a sentence that can be nothing else
	if p.CallsOff(text) {
		text, told = "sked "+text, true
	} else if rest, tells, is := p.SkedIn(text); is {
		text, told = "sked "+rest, tells
	} else if rest, tells, is := outing.Said(text, p.Event.At.In(p.Local())); is {
		text, told = "outing "+rest, tells
	}
	if strings.Contains(strings.TrimSpace(text), "\n") || !p.Ready() || p.Event.Forwarded {
		return command, "", false
	}
	word, typed, _ := strings.Cut(strings.TrimSpace(text), " ")
	command, ok = saidAs(strings.ToLower(word))
	words := slices.DeleteFunc(strings.Fields(strings.ToLower(typed)), func(word string) bool { return slices.Contains(plainFillers, word) })
	if !ok || !told && !command.is(p, words) {
		return command, "", false
	}
	if command.keeps {
		return command, typed, true
	}
	return command, strings.Join(words, " "), true
}

// isSked reports whether words are for /sked. While a pass is worked a call alone, or with
// a grid, may tell that it was kept.
func (p *plan) isSked(words []string) bool {
	if len(words) == 0 {
		return false
	}
	_, err := parse.ParseCallsign(words[0])
	_, isGrid := parse.ParseGrid(words[len(words)-1])
	at, _ := p.PassAtHand(p.Event.At)
	kept := len(words) == 1 || len(words) == 2 && isGrid == nil
	return err == nil && !(kept && at.Up(p.Event.At))
}

// isHandOver reports whether words are for /adif: none, days, a pass or all.
func (p *plan) isHandOver(words []string) bool {
	words = lists.Filter(words, func(word string) bool { return word != exchange.Together })
	return p.IsOrder(strings.Join(words, " "))
}

// isLogOf reports whether words name passes, or a day, whose log is meant.
func (p *plan) isLogOf(words []string) bool {
	_, isPass := p.PassesBehind(strings.Join(words, " "))
	return isPass
}

// isSkipped reports whether words name a pass, or one of the outing shown last.
func (p *plan) isSkipped(words []string) bool { return p.LeavesOut(words) || p.NamesPass(words) }

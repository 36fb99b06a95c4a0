package say

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/along"
	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// How a contact was taken, what is asked about it, and which pass it belongs to.

// Echo says how a contact was taken, so that a glance finds a mistake: number on
// the pass, call and grids in full, which may take a second line, and where there
// is room the distance and bearing from the own place, and the country of the
// series. A grid far from that country is a doubt worth a word, and no more.
func Echo(c Contact) string {
	on := phrase.Led("on ", c.On)
	if c.Corrected && c.State != Dropped { // else it stands nowhere that its name is taken
		on = strings.TrimPrefix(phrase.Led(", ", c.Name)+phrase.Led(", report ", c.Report)+phrase.Led(", ", on), ", ")
	}
	if on == "" {
		return echo(c)
	}
	return phrase.Lined([]string{echo(c)}, layout.Break(indent+on, indent))
}

const indent = "   " // of a second line

func echo(c Contact) string {
	line := phrase.Some(c.Number, "%d  ") + c.name()
	switch c.State {
	case Heard:
		return phrase.Lined(layout.Break(c.name()+": heard, not logged", indent))
	case Dropped:
		return phrase.Lined(layout.Break(c.name()+": dropped", indent))
	case Incomplete:
		return phrase.Lined(layout.Break(line+": grid missing", indent))
	case Doubtful:
		return phrase.Lined(layout.Break(line+": "+doubt(c), indent))
	}
	line += phrase.When(c.Again, " again") + phrase.When(c.Dated, c.Time.UTC().Format(" 2 Jan"))
	switch c.TimeSource {
	case FromTyped:
		line += " at " + phrase.TypedClock(c.Time)
	case FromRecording:
		line += " at " + phrase.Clock(c.Time)
	case FromPass:
		line += " about " + phrase.ShortClock(c.Time)
	}
	line += phrase.When(c.DialMHz > 0, " on "+phrase.TrimMHz(c.DialMHz)) + phrase.When(c.OffCard, phrase.Led(" ", c.Bird))
	lines := layout.Break(line, indent)
	last := &lines[len(lines)-1]
	if way := " " + wayTo(c.OwnGrids, c.Grids); layout.Fits(*last + way) {
		*last = strings.TrimRight(*last+way, " ")
	}
	far := c.Call.FarFrom(c.Grids)
	switch country := cmp.Or(phrase.When(far != "", "far from "+far+"?"), c.Call.Country()); {
	case layout.Fits(*last + phrase.Led(", ", country)):
		*last += phrase.Led(", ", country)
	case far != "":
		lines = append(lines, indent+country)
	}
	return strings.Join(lines, "\n")
}

// wayTo is how far it is to a station and in which direction, empty where either
// place is not known or both are the same.
func wayTo(own, grids []parse.Grid) string {
	if len(own) == 0 || len(grids) == 0 {
		return ""
	}
	here, there := Meeting(own), middle(grids[0])
	km := predict.DistanceKm(here, there)
	if km < 0.5 {
		return ""
	}
	return fmt.Sprintf("%.0f km %s", km, predict.CompassPoint(predict.BearingDeg(here, there)))
}

// MoreLogged ends an echo that had to be cut.
var MoreLogged = phrase.InLine(strconv.Itoa, "… and %s more: /log all")

// doubts names doubts in a few words.
var doubts = map[string]string{
	WhyPass: "which pass?", string(parse.BadGrid): "which grid?", string(parse.Partial): "which grid?",
	string(parse.BadCall): "which call?", string(parse.NoCall): "whose grid?", string(parse.Odd): "unusual call",
	string(parse.Denied): "worked or not?", string(parse.Doubted): "worked or not?",
	string(parse.Dated): "on that day?", string(parse.Elsewhere): "by the bird?", WhyNew: "a new contact?",
}

func doubt(c Contact) string {
	switch {
	case c.Why == WhyTime:
		clock := phrase.ShortClock(c.Time)
		if c.TimeSource == FromTyped {
			clock = phrase.TypedClock(c.Time)
		}
		clock = phrase.When(c.Dated, phrase.DayMonth(c.Time)+" ") + clock
		return clock + cmp.Or(phrase.When(c.Time.After(c.Made), " was still to come"), " can't be")
	case c.Why == WhyGrid:
		return phrase.Grids(c.Before) + " before?"
	case c.Why == WhyReach:
		return "not in reach" + phrase.When(c.TimeSource != FromPass, " at "+phrase.ShortClock(c.Time)) + "?"
	case c.Why == WhyTwin:
		return "and " + c.Other.String() + ", one station?"
	case c.Why == WhyWords:
		return "“" + layout.Short(c.Note, 24) + "”?" + phrase.When(c.Call.IsValid() && len(c.Grids) == 0, " no grid")
	case c.Why == WhySlate:
		return offset(c.Offset) + " from when?"
	case c.Why == string(parse.Partial) && !c.Call.IsValid():
		return doubts[string(parse.BadCall)]
	}
	return cmp.Or(doubts[c.Why], phrase.When(!c.Offered && c.Call.IsValid(), "is that right?"), "which is it?")
}

// Question asks about a doubtful contact, and says how to answer where no button can.
func Question(c Contact) string {
	if c.Why == WhyNew {
		return phrase.Sentence("“%s”: no contact of the last day has that call. Log it as new?", layout.Short(c.Text, 20))
	}
	return "“" + layout.Short(c.Text, 20) + "” " + doubt(c) + phrase.Led("\n", why(c)) +
		phrase.When(!c.Offered && !c.Call.IsValid(), "\nReply with it right, or drop it.")
}

// why says what is wrong with a grid that is asked, or why a line is doubted of which nothing
// else is offered.
func why(c Contact) string {
	switch {
	case !c.Call.IsValid():
		return ""
	case c.Why == string(parse.BadGrid) && len(c.Grids) > 1:
		return "Grids of one place meet at a line or\na corner: these don't."
	case c.Why == string(parse.BadGrid) && len(c.Grids) == 1 && strings.Contains(strings.ToUpper(c.Text), c.Grids[0].Square().String()):
		return "Out of the bird's reach on this pass."
	case c.Why == string(parse.BadGrid):
		return "A grid is two letters from A to R and\ntwo digits. Reply with it."
	case c.Why == string(parse.Partial):
		return "A letter or a digit is missing."
	case c.Why == string(parse.Ambiguous) && !c.Offered:
		return "It can be read in more than one way."
	case c.Why == string(parse.Repaired) && !c.Offered:
		return "It reads so only if a slip is mended."
	}
	return ""
}

// NeverWorked answers that a station, or a grid, is not in the log.
var NeverWorked = phrase.InLine(phrase.Whole, "%s is not in your log.")

// NotByBird leads to contacts in another way.
const NotByBird = "Not by a bird. "

// NotOnBird leads to contacts with other birds.
var NotOnBird = phrase.InLine(phrase.Whole, "Not on %s. ")

// WorkedBefore answers how often a station is in the log, when last, who that was and how
// far, and how often in other ways than by a bird.
func WorkedBefore(lead string, n int, last Contact, otherwise int) string {
	km := last.ReachKm()
	return phrase.Sentence("%s%s, last %s: %s%s%s%s.%s", lead, phrase.NContacts(n), last.Time.UTC().Format("2 Jan 2006"), last.name(),
		phrase.Led(", ", last.Name), phrase.When(km > 0, fmt.Sprintf(", %.0f km", km)), phrase.Led(" on ", last.Bird), phrase.Some(otherwise, " Not by a bird: %d."))
}

// Found lists the contacts with a station, or in a grid, in order.
func Found(of string, all []Contact) string {
	var rows []string
	for _, c := range all {
		text := c.Time.UTC().Format("2006-01-02 15:04 ") + c.name() + phrase.Led(" ", c.Bird)
		state := phrase.When(c.State == Heard, "heard only") + phrase.When(c.State == Doubtful, doubt(c))
		rows = append(rows, layout.Behind(text, state, func(lines ...string) []string {
			return append(layout.Hang(lines[0]), lines[1:]...)
		})...)
	}
	return phrase.Lined([]string{of + ": " + phrase.NContacts(len(all))}, rows)
}

// StationLabel names one thing that a doubtful line could mean.
func StationLabel(call parse.Callsign, grids []parse.Grid) string {
	return strings.TrimSpace(call.String() + " " + phrase.Grids(grids))
}

// AsTypedLabel takes a doubtful contact for what it is read as, and says what that is where
// no time is doubted; a time that was still to come is.
func AsTypedLabel(c Contact) string {
	if c.Why == WhyTime && c.TimeSource == FromTyped && c.Time.After(c.Made) {
		return phrase.TypedClock(c.Time)
	}
	return "As typed" + phrase.When(c.Why != WhyTime, ": "+c.name())
}

// ContactOnLabel names a contact on its pass, if that is known.
func ContactOnLabel(c Contact, p predict.Pass) string {
	return c.name() + phrase.When(!p.AOS.IsZero(), " "+PassName(p))
}

// QuotedLabel tells a contact from another of the same label by the words that told it.
func QuotedLabel(label, text string) string { return label + " " + Quoted(text) }

// WrongLabel says that of two grids of a station one is wrong.
func WrongLabel(grids []parse.Grid) string { return phrase.Grids(grids) + " was wrong" }

// Settled answers a button whose question is answered, or whose contact is gone.
func Settled(c Contact, known bool) string {
	if !known {
		return OldButton
	}
	return "Settled already: " + c.name() + "."
}

// standing names a contact with what it is, where that is not plain.
func standing(c Contact) string {
	switch c.State {
	case Heard:
		return c.name() + ", only heard"
	case Doubtful:
		return c.name() + ", " + doubt(c)
	}
	return c.name()
}

// Step says what a step did to a contact; fresh ones are new by it.
func Step(c Contact, fresh bool) string {
	switch {
	case fresh:
		return c.name()
	case c.State == Dropped:
		return "removal of " + c.name()
	}
	return "change to " + standing(c)
}

// Undone says what was taken back (the last step if empty), and what contacts are now.
func Undone(step string, now []Contact) string {
	left := kept(now)
	lines := phrase.Each(left[:min(len(left), phrase.MostListed)], func(c Contact) string { return "Now: " + standing(c) })
	lines = append([]string{"Taken back: " + cmp.Or(step, "the last step")}, lines...)
	return phrase.Paragraphs(append(lines, phrase.Some(max(len(left)-phrase.MostListed, 0), "and %d more"))...)
}

// NoDifference says that what was said last, or decided by a tap, made no difference, or
// makes none any more, and what was done before it.
func NoDifference(text, step, before string) string {
	said := cmp.Or(Quoted(text), step, "your tap")
	how := said + " changed nothing."
	if step != "" {
		how = said + " makes no difference any more: what was said since stands."
	}
	return phrase.Paragraphs("Nothing to take back: "+how, phrase.When(before != "", "Before that: "+before))
}

// Quoted are a person's words, empty if there are none.
func Quoted(text string) string { return phrase.When(text != "", "“"+layout.Short(text, 40)+"”") }

// ChoiceBack says that a pass was chosen no more, and which is now.
func ChoiceBack(was, now predict.Pass) string {
	return phrase.Paragraphs("Taken back: "+cmp.Or(phrase.When(!was.AOS.IsZero(), PassName(was)+" is chosen no more."), "what was chosen."),
		phrase.When(!now.AOS.IsZero(), "Logging under "+PassName(now)+"."))
}

// PassName names a pass in a few characters: bird and AOS in UTC.
func PassName(p predict.Pass) string { return p.Name + " " + phrase.ShortClock(p.AOS) }

// DatedName tells the day too.
func DatedName(p predict.Pass) string { return phrase.DayMonth(p.AOS) + " " + PassName(p) }

// NotUp says that a bird's name files nothing, Moved which pass contacts go to.
var (
	ToBirdLabel = phrase.InLine(phrase.Whole, "Put on %s")

	NotUp = phrase.InLines(phrase.Whole, "%s is not up, nor was it in the last hours: nothing is filed under it.")
	Moved = phrase.InLine2(PassName, phrase.NContacts, "Now under %s: %s.")
)

// NotUpThen says that a bird was not up when contacts were made, which stay where they are.
func NotUpThen(bird string, contacts []Contact) string {
	at, on := phrase.ShortClock(contacts[0].Time), contacts[0].Bird
	return phrase.Sentence("%s was not up at %s. As before on %s: %s.", bird, at, on, phrase.FirstN(names(contacts), 3))
}

// ChosenAhead says so of a pass that is still to come while another one is up.
func ChosenAhead(p, up predict.Pass) string {
	return phrase.Sentence("%s rises at %s: lines are its from then on, each is asked until then. %s is up still: its name brings its card back.",
		p.Name, phrase.ShortClock(p.AOS), PassName(up))
}

// TimeUnheld says that a time on a line of its own holds for nothing: no bird was up
// then or, where it was told for a pass, another one has begun since.
func TimeUnheld(clock parse.Clock, p predict.Pass, began bool) string {
	if began {
		return phrase.Sentence("%s was for %s and another pass has begun since: it doesn't hold for this.", clock, PassName(p))
	}
	return phrase.Sentence("No bird of yours was up at %s UTC: the time holds for nothing.", clock)
}

// WhichPass asks which pass is meant; notUp is a bird that was named and can't be.
func WhichPass(rivals []predict.Pass, at time.Time, notUp string) string {
	switch {
	case notUp != "" && len(rivals) > 0:
		return phrase.Sentence("%s was not up. Which pass is it?", notUp)
	case len(rivals) == 0:
		return "Kept. Which bird was it? I know of no\npass: send its name on a line alone."
	case len(rivals) > 1 && !slices.ContainsFunc(rivals, func(p predict.Pass) bool { return !along.Up(p, at) }):
		return "More than one bird is up. Which one\nare you working?"
	}
	return "Which pass is this for?"
}

// HoldsSet says for how long lines go under a pass that has set.
func HoldsSet(holds time.Duration) string {
	return phrase.Sentence("It has set: that holds for at least %d minutes after each line.", int(holds.Minutes()))
}

// Chosen says under which pass lines go from now on, and how many were moved there.
func Chosen(p predict.Pass, moved int) string {
	return "Logging under " + PassName(p) + "." + phrase.Some(moved, "\nFiled: %d.")
}

// Parts asks whether the parts of a heap belong to as many passes.
func Parts(n int, bird string) string {
	return phrase.Sentence("%d parts, and %s passed %d times. A part each, or all on one pass?", n, bird, n)
}

// InOrder says that the parts of a heap were filed under these passes.
func InOrder(passes []predict.Pass, n int) string {
	return phrase.Sentence("Filed in order, %s: %s.", phrase.FirstN(phrase.Each(passes, PassName), 4), phrase.NContacts(n))
}

// LeftOver leads over to the question about those that an answer left.
func LeftOver(left []Contact) string {
	return phrase.Sentence("%s can't be of that pass, from %s on.", phrase.NContacts(len(left)), left[0].name())
}

// StillOpen asks again which pass contacts belong to.
func StillOpen(waiting []Contact) string {
	return phrase.Sentence("Still open: which pass? %s, from %s on.", phrase.NContacts(len(waiting)), waiting[0].name())
}

// ChangedBy is a line below a contact that the other phone has changed: whose that is, and
// what was changed; empty where nothing is that the contact shows. Gone: it stands there no more.
func ChangedBy(other parse.Callsign, was, now Contact, gone bool) string {
	who := cmp.Or(other.String(), "the other phone")
	var news []string
	if was.Call != now.Call {
		news = append(news, was.Call.String()+" → "+now.Call.String())
	}
	if a, b := phrase.Grids(was.Grids), phrase.Grids(now.Grids); a != b {
		news = append(news, cmp.Or(a, "no grid")+" → "+cmp.Or(b, "no grid"))
	}
	switch {
	case gone && was.State != now.State:
		return "\n" + layout.Clip("   "+who+": "+was.name()+" → out", layout.Columns)
	case len(news) > 0:
		return "\n" + layout.Clip("   "+who+": "+strings.Join(news, ", "), layout.Columns)
	case was.State != now.State || !was.Time.Equal(now.Time) || was.Bird != now.Bird:
		return "\n" + layout.Clip("   by "+who, layout.Columns)
	}
	return ""
}

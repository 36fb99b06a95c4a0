package bot

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"skyslate/bot/contact"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// Everything the operator reads stands in the files texts*.go: 38 columns, 15
// lines, what matters first. Sentences that never change are constants, the
// others functions of what they tell.

const (
	textWelcome = `skyslate reminds you of FM satellite
passes where you stand, and keeps the
log while your hands are full.`

	textCautions = `Before you transmit:
- only with a licence, where it is
  allowed; local rules come first
- keep the antenna off people and your
  own eyes and head while transmitting
- watch traffic, weather, overhead
  lines; never look into the sun`

	textAskCall  = "Your call sign on the air?"
	textAskPlace = `Where are you? Type your grid (JO33,
or two or four that meet: jo33 jo43),
or share your location.`

	textHelp = `Type call and grid, any way:
  ox9qzt jo33 · JO33OX9QZT :42 59
Reply to it with what is missing.
Wrong? Edit your message, or /undo.
A bird's name, a time or the slate on
a line of its own holds for the next.
Record or dictate: ox9qzt jo33 +4:10
/passes what comes, arm or skip
/log the pass · /adif the file
/outing a day out, armed with one tap
/at JO33 move · /call change call
/remind of what, when · /birds tones
Pictures: /look /reach /worked
/forget removes all · /help more`

	textHelpMore = `/correct many · /voice recordings
/log all of a pass · /log 3 its story
/light sun and shadow · /look drawn
/horizon 10, 270-330 25 trees, hills
/radio step 12.5 the raster you dial
/memories pairs to store for a pass
/dial 435.640 both dials, linear birds
/with KO24 when both of you see a bird
/wanted KO24 JP71 grids you look for
/reach who is in reach · /worked maps
/calendar your passes as a file
/birds NAME tone 67 for you alone
/passes stale whatever the elements
/sked arrange a contact · /day sums up
Send a log (.adi) or elements as file`

	textKept           = "Kept as a note. First tell me:"
	textBroken         = "I failed on this message. It is kept,\nbut not in the log: send it again."
	textNothingLeft    = "Nothing of this is in the log."
	textOldButton      = "That button is too old to act on."
	textNothingToUndo  = "Nothing left to take back."
	textWhichContact   = "Which contact do you mean? Reply with\nits call too, or to one contact."
	textEditedCommand  = "A command can't be edited afterwards:\nsend it again."
	textCantRead       = "I read text, places, voice messages\nand element files, but not this."
	textBadPlace       = "That is no place on Earth. Type your\ngrid instead, such as /at JO33."
	textFutureElements = "Those elements are dated more than a\nmonth ahead. I can't use them."
	textTooLarge       = "That file is too large for a chat\n(20 MB at most)."
	textNoPassYet      = "No pass to hand over yet. /adif gives\nall that is new."
	textToday          = "Today"

	// signNote is set on a message that is kept as a note: writing hand.
	signNote = "✍"

	labelAsTyped = "As typed"
	labelDrop    = "Drop it"
	labelWorked  = "Worked"
	labelHeard   = "Only heard"
	labelNoTime  = "Without the time"
	labelForget  = "Remove everything"
)

// These name what a tap does to a pass.
func tellLabel(p storage.Pass) string { return "Timetable " + passLabel(p) }
func skipLabel(p storage.Pass) string { return "Skip " + passLabel(p) }
func armLabel(p storage.Pass) string  { return "Arm " + passLabel(p) }

// passLabel names a pass in a few characters: bird and AOS in UTC.
func passLabel(p storage.Pass) string { return p.Bird.Name + " " + shortClock(p.AOS) }

// contactName names a contact in a few characters.
func contactName(c storage.Contact) string {
	name := c.Call.String()
	if !c.Call.IsValid() {
		name = "“" + noteText(c.Text, 16) + "”"
	}
	if len(c.Grids) > 0 {
		name += " " + gridList(c.Grids)
	}
	return name
}

// contactNames names contacts one after the other, of many the first and how many
// more there are.
func contactNames(contacts []storage.Contact) string {
	return some(eachName(contacts), listedInCaption)
}

// stepText says what a step did to a contact.
func stepText(c storage.Contact, fresh bool) string {
	switch {
	case fresh:
		return contactName(c)
	case c.State == storage.Dropped:
		return "removal of " + contactName(c)
	}
	return "change to " + contactState(c)
}

// contactState names a contact with what it is, where that is not plain.
func contactState(c storage.Contact) string {
	switch c.State {
	case storage.Heard:
		return contactName(c) + ", only heard"
	case storage.Doubtful:
		return contactName(c) + ", " + doubt(c)
	}
	return contactName(c)
}

// echoLine says how a contact was taken, so that a glance finds a mistake: number
// on the pass, call and grids in full, which may take a second line, and where
// there is room the distance, bearing, country of the series.
func echoLine(c storage.Contact, n int, repeat bool, own storage.Place) string {
	line := contactName(c)
	if n > 0 {
		line = fmt.Sprintf("%d  %s", n, line)
	}
	switch c.State {
	case storage.Heard:
		return unbroken(contactName(c) + ": heard, not logged")
	case storage.Dropped:
		return droppedText(c)
	case storage.Incomplete:
		return unbroken(line + ": grid missing")
	case storage.Doubtful:
		return unbroken(line + ": " + doubt(c))
	}
	if repeat {
		line += " again"
	}
	switch c.TimeSource {
	case storage.FromTyped:
		line += " at " + shortClock(c.Time)
	case storage.FromRecording:
		line += " at " + clock(c.Time)
	}
	if c.DialMHz > 0 {
		line += " on " + trimMHz(c.DialMHz)
	}
	if c.Pass == "" && c.Bird.Name != "" {
		line += " " + c.Bird.Name
	}
	lines := broken(line, "   ")
	last := &lines[len(lines)-1]
	if way := " " + wayTo(madeAt(c, own), c.Grids); utf8.RuneCountInString(*last+way) <= textColumns {
		*last = strings.TrimRight(*last+way, " ")
	}
	if room := textColumns - utf8.RuneCountInString(*last) - 1; room >= leastCountry || len(c.Call.Country()) <= room {
		*last = clip(strings.TrimRight(*last+" "+c.Call.Country(), " "), textColumns)
	}
	return strings.Join(lines, "\n")
}

// leastCountry is how much room makes it worth while to begin a country's name.
const leastCountry = 4

// unbroken is a line of which nothing may be cut, on as many lines as it takes.
func unbroken(line string) string { return strings.Join(broken(line, "   "), "\n") }

// madeAt is where a contact was made: the place that is set if its grids are the
// contact's, else the middle of those.
func madeAt(c storage.Contact, now storage.Place) storage.Place {
	if slices.Equal(c.OwnGrids, now.Grids) || len(c.OwnGrids) == 0 {
		return now
	}
	lat, lon := c.OwnGrids[0].Center()
	return storage.Place{Grids: c.OwnGrids, LatDeg: lat, LonDeg: lon}
}

// wayTo is how far it is to a station and in which direction, empty where either
// place is not known or both are the same.
func wayTo(own storage.Place, grids []parse.Grid) string {
	if len(own.Grids) == 0 || len(grids) == 0 {
		return ""
	}
	here, there := siteOf(own), siteOfGrid(grids[0])
	km := predict.DistanceKm(here, there)
	if km < 0.5 {
		return ""
	}
	return fmt.Sprintf("%.0f km %s", km, predict.CompassPoint(predict.BearingDeg(here, there)))
}

func siteOfGrid(g parse.Grid) predict.Site {
	lat, lon := g.Center()
	return predict.Site{LatDeg: lat, LonDeg: lon}
}

// doubt names a doubt in a few words.
func doubt(c storage.Contact) string {
	switch c.Why {
	case contact.WhyPass:
		return "which pass?"
	case contact.WhyTime:
		return shortClock(c.Time) + " can't be"
	case contact.WhyGrid:
		return "which grid?"
	case contact.WhySlate:
		return offsetText(c.Mark.Offset) + " from when?"
	case string(parse.BadGrid):
		return "which grid?"
	case string(parse.Partial):
		if c.Call.IsValid() {
			return "which grid?"
		}
		return "which call?"
	case string(parse.BadCall):
		return "which call?"
	case string(parse.NoCall):
		return "whose grid?"
	case string(parse.Odd):
		return "unusual call"
	case string(parse.Denied), string(parse.Doubted):
		return "worked or not?"
	}
	return "which is it?"
}

// questionText asks about a doubtful contact in one line, and says how to answer
// where no button can.
func questionText(c storage.Contact) string {
	text := "“" + noteText(c.Text, 20) + "” " + doubt(c)
	if len(c.Candidates) == 0 && !c.Call.IsValid() {
		text += "\nReply with it right, or drop it."
	}
	return text
}

func candidateLabel(c storage.Candidate) string {
	return strings.TrimSpace(c.Call.String() + " " + gridList(c.Grids))
}

func droppedText(c storage.Contact) string { return unbroken(contactName(c) + ": dropped") }

func settledText(c storage.Contact, known bool) string {
	if !known {
		return textOldButton
	}
	return "Settled already: " + contactName(c) + "."
}

// notUpText says that a bird named on a line of its own has no pass to file under.
func notUpText(bird string) string {
	return strings.Join(wrap(bird+" is not up, nor was it in the last hours: nothing is filed under it.", ""), "\n")
}

// whichText asks which pass is meant; notUp is a bird that was named and can't be.
func whichText(rivals []storage.Pass, at time.Time, notUp string) string {
	switch {
	case notUp != "" && len(rivals) > 0:
		return strings.Join(wrap(notUp+" was not up. Which pass is it?", ""), "\n")
	case len(rivals) == 0:
		return "Kept. Which bird was it? I know of no\npass: send its name on a line alone."
	case len(rivals) > 1 && len(only(rivals, func(p storage.Pass) bool { return p.Up(at) })) == len(rivals):
		return "More than one bird is up. Which one\nare you working?"
	}
	return "Which pass is this for?"
}

func chosenText(p storage.Pass, moved int) string {
	text := "Logging under " + passLabel(p) + "."
	if moved > 0 {
		text += fmt.Sprintf("\nFiled: %d.", moved)
	}
	return text
}

func movedText(p storage.Pass, n int) string {
	return fmt.Sprintf("Now under %s: %s.", passLabel(p), count(n, "contact"))
}

func undoneText(s storage.Step, now []storage.Contact) string {
	lines := []string{"Taken back: " + cmp.Or(s.What, "the last step")}
	left := only(now, func(c storage.Contact) bool { return c.State != storage.Dropped })
	for _, c := range left[:min(len(left), listedInCaption)] {
		lines = append(lines, "Now: "+contactState(c))
	}
	if more := len(left) - listedInCaption; more > 0 {
		lines = append(lines, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(wrapAll(lines), "\n")
}

func wrapAll(lines []string) []string {
	var all []string
	for _, line := range lines {
		all = append(all, wrap(line, "  ")...)
	}
	return all
}

func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// Setting up.

func callSetText(call parse.Callsign) string {
	text := "You are " + call.String()
	if country := call.Country(); country != "" {
		text += " (series: " + country + ")"
	}
	if call.Class() == parse.Unusual {
		text += ". An unusual call: /call corrects it"
	}
	return strings.Join(wrap(text+".", ""), "\n")
}

func ownCallText(op storage.Operator) string {
	if !op.Call.IsValid() {
		return textAskCall
	}
	return "You are " + op.Call.String() + ". Change it with /call\nand the new call."
}

func badCallText(text string, err error) string {
	return strings.Join(wrap(fmt.Sprintf("“%s” is no call sign: %s. Send it as on the air, such as OX9QZT or OX9QZT/P.",
		noteText(text, 20), reason(err)), ""), "\n")
}

func badGridText(text string, err error) string {
	return strings.Join(wrap(fmt.Sprintf("“%s”: %s. Send a grid such as JO33 or JO33ab.", noteText(text, 20), reason(err)), ""), "\n")
}

// reason says what is wrong with a text that package parse refused, in the
// operator's words.
func reason(err error) string {
	var syntax *parse.SyntaxError
	if errors.As(err, &syntax) {
		return fmt.Sprintf("I expected %s, found %s", syntax.Expected, syntax.Found)
	}
	return strings.TrimSuffix(err.Error(), ".")
}

func placeSetText(p storage.Place) string {
	return strings.Join(wrap(fmt.Sprintf("Your grid: %s (%.2f°, %.2f°), time zone %s.", gridList(p.Grids), p.LatDeg, p.LonDeg, p.Zone), ""), "\n")
}

func ownPlaceText(op storage.Operator, loc *time.Location) string {
	if len(op.Place.Grids) == 0 {
		return textAskPlace
	}
	return strings.Join(wrap(fmt.Sprintf("Your grid: %s, since %s %s. Change it with /at and the new one, or share your location.",
		gridList(op.Place.Grids), op.Place.Set.In(loc).Format("2 Jan 15:04"), zoneName(op.Place.Set, loc)), ""), "\n")
}

func zoneName(t time.Time, loc *time.Location) string {
	name, _ := t.In(loc).Zone()
	return name
}

func readyText(op storage.Operator, loc *time.Location) string {
	return fmt.Sprintf("You are %s in %s.\n%s", op.Call, gridList(op.Place.Grids), textHelp)
}

// whatNextText ends the set-up: what will come, and how to log.
func whatNextText(op storage.Operator, next storage.Pass, found bool) string {
	lines := []string{}
	if found {
		lines = append(lines, fmt.Sprintf("Next: %s on %s UTC, peak %s. I remind you %s before.", next.Bird.Name,
			next.AOS.UTC().Format("2 Jan 15:04"), degrees(next.PeakElDeg), minutes(op.Remind.Lead)))
	} else {
		lines = append(lines, "No pass ahead that I would remind you of: see /passes and /remind.")
	}
	lines = append(lines, "During a pass just type call and grid: ox9qzt jo33. /help says the rest.")
	return strings.Join(wrapAll(lines), "\n")
}

func minutes(d time.Duration) string { return fmt.Sprintf("%d min", int(d.Minutes())) }

func armedText(p storage.Pass, r storage.Remind, now time.Time) string {
	switch {
	case p.Arm == storage.ArmSkipped:
		return skippedText(p)
	case !p.Decided.IsZero(), !now.Before(p.AOS.Add(-r.Lead)):
		return "Armed: " + passLabel(p) + "."
	}
	return fmt.Sprintf("Armed: %s. Reminder %s.", passLabel(p), shortClock(p.AOS.Add(-r.Lead)))
}

func unknownCommandText(name string) string {
	return strings.Join(wrap("I know no /"+noteText(name, 20)+". /help shows what I know. Contacts need no command.", ""), "\n")
}

func unknownBirdText(name string, s *Sky) string {
	return strings.Join(wrap("I know no bird “"+noteText(name, 20)+"”. I know "+someNames(s.names())+".", ""), "\n")
}

func forgetText(contacts int) string {
	return strings.Join(wrap(fmt.Sprintf("This removes your settings and %s from here for good. Take your log with /adif all first.",
		count(contacts, "contact")), ""), "\n")
}

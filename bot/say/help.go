package say

// The greeting, the help, and answers that say no more than one thing.
const (
	Welcome = `skyslate reminds you of FM satellite
passes where you stand, and keeps the
log while your hands are full.`

	Cautions = `Before you transmit:
- only with a licence, where it is
  allowed; local rules come first
- keep the antenna off people and your
  own eyes and head while transmitting
- watch traffic, weather, overhead
  lines; never look into the sun`

	AskCall  = "Your call sign on the air?"
	AskPlace = `Where are you? Type your grid (JO33,
or two or four that meet: jo33 jo43),
or share your location.`

	Help = `Type call and grid, any way:
  ox9qzt jo33 · JO33OX9QZT :42 59
Reply to it with what is missing.
Wrong? Edit it, /undo, 3 was jo34
A bird's name, a time or the slate on
a line of its own holds for the next.
Record or dictate: ox9qzt jo33 +4:10
/passes what comes, arm or skip
/log the pass · /adif the file
/outing a day out, armed with one tap
/at JO33 move · /at home · /call
/remind of what, when · /birds tones
Pictures: /look /reach /worked
/forget removes all · /help more`

	HelpMore = `/correct 3 call: theirs, mycall: yours
/log all · open · notes · 3 · JO33
/light shadow · /look AO-123 10:45
/horizon 10, 270-330 25 trees, hills
/radio step 12.5 the raster you dial
/memories pairs to store for a pass
/dial 435.640 both dials, linear birds
/with KO24 when both of you see a bird
/wanted KO24 JP71 grids you look for
/calendar a file · /agree two logs
/birds NAME tone 67 for you alone
/birds add NAME NUMBER UP/DOWN
/passes stale whatever the elements
/sked · /day · /voice · /second phone
Send a log (.adi) or elements as file`

	KeptAsNote     = "Kept as a note. First tell me:"
	Broken         = "I failed on this message. It is kept,\nbut not in the log: send it again."
	NothingLeft    = "Nothing of this is in the log."
	CorrectionBack = "Taken back: it is as it was before."
	ThenWhere      = "Then say where: /at JO33, or share\nyour location."
	ForgetByTap    = "What is gone is gone for good: tap the\nbutton if that is what you want."
	OldButton      = "That button is too old to act on."
	NothingToUndo  = "Nothing left to take back."
	WhichContact   = "Which contact do you mean? Reply with\nits call too, or to one contact."
	EditedCommand  = "A command can't be edited afterwards:\nsend it again."
	CantRead       = "I read text, places, voice messages\nand element files, but not this."
	BadPlace       = "That is no place on Earth. Type your\ngrid instead, such as /at JO33."
	TooLarge       = "That file is too large for a chat\n(20 MB at most)."
	LargeElements  = "That file is too large for elements\n(4 MB at most): send those of your\nbirds."
	Today          = "Today"

	// NoteSign is set on a message that is kept as a note: writing hand.
	NoteSign = "✍"

	LabelBoth     = "Both are right"
	LabelDrop     = "Drop it"
	LabelTakeBack = "Take it back"
	LabelWorked   = "Worked"
	LabelLogIt    = "Log it"
	LabelHeard    = "Only heard"
	LabelNoTime   = "Without the time"
	LabelForget   = "Remove everything"
)

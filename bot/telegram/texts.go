package telegram

import (
	"time"

	"github.com/go-telegram/bot/models"
)

// What this transport says by itself, about who is let in. Everything else that
// an operator reads stands in package bot.
const (
	textStranger = `This is somebody's own logbook. Ask
the person who runs it to let you in.`
	textGroup = `A log is one person's, so I work in
private chats only. Write to me there.`
	textOwner = `You are in, and this bot is yours.
/invite lets one more operator in.`
	textNotYours = "Only the one who runs this bot can\ninvite."
	textRival    = `Careful: another program fetches my
messages with the same token. Each
message reaches only one of us. Stop
the other one.`
)

// inviteText hands over an invitation: link is an address, or the code itself
// while the bot's own name is not known.
func inviteText(link string, until time.Time) string {
	return "Pass this on to one operator. It works\nonce, until " + until.UTC().Format("2 Jan 15:04") + " UTC:\n" + link
}

// menu is the list of commands that the app offers.
var menu = []models.BotCommand{
	{Command: "passes", Description: "what comes; arm or skip a pass"},
	{Command: "log", Description: "the contacts of this pass"},
	{Command: "adif", Description: "the log as a file: what is new, or pass, today, all, a date"},
	{Command: "undo", Description: "take the last change back"},
	{Command: "at", Description: "your grid, or two or four that meet"},
	{Command: "call", Description: "your call sign"},
	{Command: "remind", Description: "what you are reminded of"},
	{Command: "birds", Description: "frequencies, tones, what is known of each bird"},
	{Command: "help", Description: "how to write a contact"},
	{Command: "forget", Description: "remove all that is yours"},
	{Command: "start", Description: "set up"},
}

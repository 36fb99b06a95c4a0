package telegram

import "github.com/go-telegram/bot/models"

// textRival is all that this transport says by itself: who is let in is package
// guests' matter, and everything else stands in package bot.
const textRival = `Careful: another program fetches my
messages with the same token. Each
message reaches only one of us. Stop
the other one.`

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

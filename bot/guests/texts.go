package guests

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"skyslate/storage"
)

// The sentences about who is let in, beside the conversation.
const (
	textStranger = `This is somebody's own logbook. Ask
the person who runs it to let you in.`
	textCode = `That code lets no phone in, or no
more. Whoever gave it to you can give
you another.`
	textGroup = `A log is one person's, so I work in
private chats only. Write to me there.`
	textOwner = `You are in, and this bot is yours.
/invite lets one more operator in.`
	textNotYours    = "Only the one who runs this bot can\ninvite."
	textIsIn        = "%s\nis let in already."
	textInvitedTo   = "%s\nis let in, and I write there first.\n/invite off %d puts out again."
	textManyInvites = `Ten invitations are open already.
/invite list shows them, /invite off 3
takes the third back.`
	textNoInvites = "Nobody is invited yet. /invite makes a\nlink for one operator."
	textPutOut    = `You are not let in here any more. Your
log is kept: ask the person who runs
this for it.`
	textNoSuchInvite = "There is no invitation %d. /invite list\nshows them."
	textTakenBack    = "Invitation %d is taken back: its link\nlets nobody in."
	textEnded        = "Invitation %d has ended already: its\nlink lets nobody in."
	textGuestOut     = "%s is put out. What they logged is\nkept, for them to ask you for."
	textStillIn      = "%s came in by it and stays in:\n-allow or -open lets them in."
	textReplaced     = `This bot has another owner now, who
came in with a code from its machine.`
)

// inviteHow tells how people are invited: by links, by addresses.
func inviteHow(links, addresses bool) string {
	var ways []string
	if links {
		ways = append(ways, "/invite makes a link for one operator,")
	}
	if addresses {
		ways = append(ways, "/invite @name:server lets one in by\ntheir address,")
	}
	return strings.Join(ways, "\n") + `
/invite list shows them all,
/invite off 3 takes the third back and
puts out who came in by it.`
}

// inviteText hands over an invitation: link is an address, or the code itself
// while the bot's own name is not known.
func inviteText(i invitation, link string) string {
	return fmt.Sprintf("Invitation %d, for one operator, once,\nuntil %s UTC. Pass it on.\n/invite off %d takes it back.\n%s",
		i.Number, i.Until.UTC().Format("2 Jan 15:04"), i.Number, link)
}

// damageText tells that who is let in may be out of date: as of a backup, or, with
// none, as of the beginning.
func damageText(since time.Time) string {
	text := "My store was damaged and is mended.\nWho is let in may be out of date"
	if !since.IsZero() {
		text += ",\nas of " + since.UTC().Format("2 Jan 2006 15:04") + " UTC"
	}
	return text + ".\n/invite list shows who came in by\ninvitation, /invite off 3 puts out."
}

// faultsText tells of failures.
func faultsText(all []storage.Fault) string {
	in, out := 0, 0
	for _, f := range all {
		if f.Post {
			out++
		} else {
			in++
		}
	}
	var lines []string
	if in > 0 {
		lines = append(lines, fmt.Sprintf("Came in, could not be read: %d (kept).", in))
	}
	if out > 0 {
		lines = append(lines, fmt.Sprintf("Could not be sent: %d.", out))
	}
	return strings.Join(lines, "\n") + `
Nothing waits behind it. To see which
and why, stop me and run:
skyslate verify -data DIR`
}

// invitedLine is an invitation in the list; who is the guest.
func invitedLine(i invitation, state state, who string) string {
	date := func(t time.Time) string { return t.UTC().Format("2 Jan 2006") }
	line := strconv.Itoa(i.Number) + "  "
	switch state {
	case isOpen:
		return line + "open until " + i.Until.UTC().Format("2 Jan 15:04") + " UTC"
	case isIn:
		return line + who + ", in since " + date(i.Came)
	case isOff:
		return line + "taken back " + date(i.Off)
	}
	return line + "ended unused " + date(i.Until)
}

// namelessText is somebody without a call sign; an app numbers people, or names
// them.
func namelessText(op storage.OperatorID) string {
	if _, err := strconv.ParseInt(string(op), 10, 64); err != nil {
		return string(op)
	}
	return "no. " + string(op)
}

// invitedText is a page of the list.
func invitedText(rows []string, page, pages int) string {
	text := "Invitations, the newest first:\n" + strings.Join(rows, "\n")
	if page < pages {
		text += fmt.Sprintf("\n/invite list %d shows more.", page+1)
	}
	return text + "\n/invite off 3 takes the third back and\nputs out who came in by it."
}

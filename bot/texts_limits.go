package bot

import (
	"fmt"
	"strings"

	"skyslate/storage"
)

// What is said when something is full, was missed, or was too much.

const (
	textTooManyNow = `That is too much in one minute (300).
What comes until the next one is left
out: send it again then.`
	textTooManyToday = `That is too much for one day (5000
messages). I read on at 00:00 UTC;
only /forget works until then.`
	textTooManyContacts = `That is too much for one day (2000
contacts). I log on at 00:00 UTC: send
it again then.`
	textTooManyDocuments = `That is too many files for one day
(20). Send it again after 00:00 UTC.`
	textTooManyMade = `That is too many files to make for one
day (200). Ask again after 00:00 UTC,
or look at /log and /passes.`
	textTooMuchStored = `What I keep for you has reached 1 GB,
the most for one operator. I log no
more: take it with /adif all; only
/forget makes room.`
	textTooManyArmed = `100 passes are armed already, as many
as I keep. Skip one in /passes first.`
	textTooManySkeds = `10 skeds are arranged for that pass,
as many as I keep. Drop one in /sked
first.`
	textFileGone = `I could not fetch that file: please
send it again.`
	textNoRoom = `The disk of the machine I run on is
full. What you send is kept by the
messaging app; I can log and remind
again as soon as there is room.`
)

// missedText says what was caught up after a time without network or process.
func missedText(m storage.Missed) string {
	var parts []string
	if m.Messages > 0 {
		from, to := shortClock(m.From), shortClock(m.To)
		if from != to {
			from += " to " + to
		}
		parts = append(parts, fmt.Sprintf("Caught up: %s from %s UTC, read as of then, %s.",
			count(m.Messages, "message"), from, count(m.Contacts, "new contact")))
	}
	if m.Reminders > 0 {
		parts = append(parts, fmt.Sprintf("Dropped, because it came after LOS: %s.", count(m.Reminders, "reminder")))
	}
	return strings.Join(wrapAll(parts), "\n")
}

// forgottenText says that everything is removed, and where copies remain: files
// of the store by their names, the rest in sentences.
func forgottenText(files, remains []string) string {
	backups, others := storage.BackupTimes(files)
	text := "Removed: your settings and your log."
	if len(backups) > 0 {
		text += fmt.Sprintf(" Copies remain in %s of this machine, the newest of %s. Each goes when %d newer ones are there: a day each.",
			count(len(backups), "backup"), backups[0].UTC().Format("2 Jan 15:04 UTC"), storage.BackupsKept)
	}
	if others > 0 {
		text += fmt.Sprintf(" They also remain in %s set aside, until whoever runs me deletes them.", count(others, "damaged file"))
	}
	return strings.Join(wrap(strings.Join(append([]string{text}, remains...), " "), ""), "\n")
}

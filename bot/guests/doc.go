// Package guests is who is let in, whatever the messaging app: one owner, those
// with an invitation of the owner's, those named at the start, or everybody.
//
// # Who comes in
//
// The owner comes in with a code from a file that only the machine's user can
// read, and so does the next one, if the file is put there anew (code.go). Others
// come in with an invitation, once, within a week; the owner can take it back,
// which puts its guest out (invite.go). Of codes only hashes are kept, and a
// message that holds one goes no further. A stranger gets one sentence, once, and
// nothing of what they write is kept; a group gets one and is left. Whoever is
// forgotten is a stranger again.
//
// Somebody may also be let into one log, for a day, by its operator (package bot: two
// phones, one log). They are in only as far as that goes: what they write passes, and when
// the day is over they are a stranger again.
//
// # How an app uses it
//
// People are known by their [storage.OperatorID], as the app names them. What an
// app receives it shows to a [Draft] ([Draft.Hear]) inside [Guests.Change]: who is
// let in, the app's own small values and the events for the desk reach the disk in
// one transaction, or none of it does. Sentences owed to people beside the
// conversation wait in [Guests.Notices] until the app has said them: a [Teller] of the
// app's sees to it.
//
// What is common to all is one value beside the inbox (book.go). Everybody who is in,
// or has blocked the bot, has a value of their own there, and so has each invitation
// that let somebody in (people.go): a change costs as much as it changes, however many
// people there are, and none of them is held in memory. older.go reads the forms in
// which all of it was one value, at first in an app's own memory, and writes them anew.
// The store's journal has a line for each change, so who is in and who was put out
// survives as contacts do; after damage the owner is told to look.
package guests

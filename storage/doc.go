// Package storage is what must survive: operators, passes, contacts, messages,
// what came in and isn't worked yet, what is owed and hasn't gone out yet, and
// the agenda, in transactions on one file.
//
// # The store and its transactions
//
// Three hands write, each in its own transactions, each durable when the call
// returns: a transport's intake appends (Accept), one worker does the work of
// one event (Commit), a transport's sender settles what is out (Settle, Drop).
// An event is something in the inbox or a moment on the agenda. Its commit
// removes it there and writes everything it changes, or nothing: a crash before
// replays the event, a crash after has its replies still in the outbox. An
// event's own ID makes a second delivery harmless.
//
// Contacts are appended versions; the highest holds. Everything else is
// replaced as a whole. Moments are arguments, the package never asks for the
// time.
//
// The events that wait and the posts that are owed are known in memory as well
// (package queue): whose turn it is and which post is the most urgent is told without
// a search, in a transaction or out of it. They are learnt at an opening, and anew
// after a transaction of which nobody knows whether it made it to the disk.
//
// Inside a transaction no read and no write returns an error: the first one stays with
// it (package table). What leads to a record is written with it (package index).
//
// # The files
//
// A store is a directory that only its owner can read:
//
//	skyslate.db        a bbolt database
//	contacts.journal   one line of JSON for each version of a contact, each change
//	                   of an operator's settings and of who is let in (package journal)
//	documents/         documents that came in and aren't done with (package documents)
//	backups/           skyslate-20261124T030000Z.db, …
//	*.broken-TIME      what was damaged and has been replaced
//
// The journal follows the commits, line by line and fsynced. At an opening both
// are compared: the database gets what only the journal has, the journal what
// only the database has. So a deleted database comes back with all contacts,
// and an old backup put in its place is brought up to date. Each commit notes in
// the database what the journal is with its lines: an opening that finds it so, or
// without the last of them, compares nothing and reads it for its checksum alone.
// The journal needs no tool to be read.
//
// # The database
//
// Its buckets, and how entries lie in them, are those of package schema. Keys sort as
// bytes (package keys). A field may be added to a value if its absence means what it meant
// before; any other change is a new schema with a migration from the one before.
//
// # Damage
//
// The database library maps its file and believes it: a flipped bit of a page's
// number can send it round in a circle for good, which no process can catch in
// itself. Before it does, an opening reads all pages and then all checksums (package
// database). A damaged file is set aside, and a new one is made (restore.go) from the
// newest good backup, all that is whole in damaged backups after it and in the damaged
// file (package salvage), and the journal: what came in since the backup, what is owed
// and what was said stand in the damaged file alone. So it is where a database is a copy,
// made by hand or not, or older than its newest backup: somebody has put it there.
//
// A journal of another start, in which the same numbers are other contacts, is joined
// (another.go).
//
// Then the new database is searched for what is missing (lost.go). No number of a
// contact is given twice, what leads nowhere is mended, and a moment on the agenda
// tells each operator what is lost. What isn't ours is left alone.
package storage

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
// # The layout of the database, schema 6
//
// Keys sort as bytes (package keys); op is the operator's ID. Values are JSON, and those
// of an index empty. Neighbours are stored together, packed and with one checksum over
// their place and themselves (package block): those of one operator, and in seen, agenda,
// agenda_by_time, posts, callers and named any. Meta, kept, inbox, inbox_by_id, dead, operators and owed
// hold each value for itself.
//
//	meta              "store"            magic and schema number
//	                  "backup"           the newest backup; whether it is that
//	                  "kept"             how many changes of who is let in there were
//	                  "mending"          it was made anew: see below
//	                  "journal"          the length of the journal, its checksum, its last lines
//	                  "compared"         how many changes of who is let in there were when all was compared
//	                  "packing"          an older schema is still being brought up to this one
//	kept              key                a transport's own memory
//	inbox             number             Raw, in the order of arrival, and whose it is
//	inbox_by_id       ID                 the number
//	seen              event              when it was worked, in which transaction
//	dead              ID                 Raw, why and when it was set aside
//	operators         op                 Operator
//	passes            op, pass           Pass, where something stands on it
//	passes_by_end     op, LOS, pass      index
//	contacts          op, id, version    Contact
//	contacts_by_pass  op, pass, id       index of the latest versions
//	contacts_by_call  op, call, id       index of the latest versions that have a call
//	contacts_by_time  op, time, id       index of the latest versions
//	contacts_by_square op, square, bird, id  index of the latest versions by each grid
//	contacts_by_tail  op, call, id       index of the latest versions by the base
//	                                     call, spelled backwards
//	handed            op, id             the newest version that is out in a file
//	messages          op, id             Message
//	messages_by_pass  op, pass, id       index
//	steps             op, number         Step
//	sittings          op, number         Sitting
//	names             op, number         the name of a message, by an app that doesn't number
//	                                     them (package names)
//	numbers           op, name           the number
//	agenda            key                Item
//	agenda_by_time    time, key          index
//	posts             name               Post, its place in the queue, how it ended
//	posts_by_app      op, app's id       the name of the post that is out
//	owed              number             the name of the post, in order of its owing
//	callers           part, call, op, since  index of operators who let their log be held
//	                                     against others (package named)
//	named             call, time, op, id  index of their latest versions that are
//
// A field may be added to a value if its absence means what it meant before;
// any other change is a new schema with a migration from the one before. A
// newer schema is refused.
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

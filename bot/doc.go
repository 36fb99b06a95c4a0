// Package bot is the conversation: what an operator writes, shares or taps
// becomes contacts, answers and reminders. It knows no messaging app.
//
// This comment is the tour of the whole program, bottom-up, with the reasons.
//
// # What things are
//
// Package parse turns text into meaning: call signs, grids, whole lines as a
// thumb types them, by tables of words (*.txt). Its subpackage adif reads and
// writes the open log format and knows nothing of us. Package predict turns
// elements into positions, passes and dial frequencies: all of a bird's one pair
// (Bird.Main), which contact/settle.go freezes with the own side. Both are pure:
// no clock, no goroutine, no lock. A type lives in the package that can make it,
// so Callsign and Grid are parse's, Bird and Elements predict's.
//
// Package storage keeps what must survive in one file, in transactions, with a
// plain-text journal beside it; only its subpackages database, table, block and
// pages know the library. Its types.go is the spine of the program: Operator, Pass,
// Contact, Message, Item, Post. Its subpackage logbook is the one table between
// contacts and ADIF fields.
//
// # What happens
//
// A message or a moment comes in at the top, everything it changes is one
// transaction at the bottom, and what the operator sees leaves by the same
// door:
//
//	transport → Accept → inbox → Work:   plan, commit → outbox → Take → transport
//	agenda ─────────────────────→ Moment: plan, commit ──┘        Settled ←┘
//
// A transport (package terminal, or one for each messaging app, wired in
// cmd/skyslate/serve.go) hands raw updates to [Desk.Accept], which returns when they
// are on disk. [Desk.Work] takes one, decodes it to an [event.Event] and makes a plan of
// it; [Desk.Moment] does the same for an item of the agenda. What is owed is taken,
// the most urgent first, with [Desk.Take] and settled with [Desk.Settled].
//
// The plan is a [tx.Tx]: it reads through one view of the store with its own changes
// on top, and comes to one [storage.Changes]. It never writes, so a crash
// before the commit replays the event and a crash after it loses nothing.
// Events count once by their ID. An event that makes the plan panic is set
// aside, told and kept, and holds nothing up.
//
// Messages go by numbers in here: an app that names them by texts gives each Raw its
// Name. Package apps joins any number of apps, and one that can't go on ends alone.
//
// # Where the rules are
//
//   - registry.go: commands, buttons and moments, a row each with its rule. plan.go:
//     every kind of event finds its rules here; the plan has one of each room.
//   - package tx: what every rule reads and changes; which passes there are, stored or
//     worked out (passes.go); groups of contacts that belong together, read once for a
//     whole heap.
//   - package contact: from what was said to contacts; pure. Package filing: which pass a
//     line belongs to. Package lineage: lines through edits. Package ledger: evidence by
//     sittings, and what it comes to; what undo takes back (steps.go). Package facts: what
//     that leans on.
//   - package meant: which pass, contacts or words are meant. recordings.go: slates.
//     answers.go: what taps decide. corrections.go: changes to what is in the log, undo.
//     plain.go: commands without their slash. assent.go: a bare yes or no. reports.go:
//     which part of the log is shown, by package report.
//   - package question: the plain questions that are known, a table; package watch
//     answers them (asked.go, meant.go: which pass), or a command does, or package
//     glossary. Package named: words that name a pass. Package idiom: contacts by their numbers, local times, the same grid,
//     short answers. Package timing: which moments words mean, and what passes they fit.
//   - package second: a second phone that writes into the log: for whose log an event is,
//     what it may, how it comes and goes, and which posts go to which phone.
//   - screen.go: what should stand on screen about the log, against what does;
//     which.go: the question which pass; summary.go: what is left to ask after LOS.
//   - package past: what is new about contacts, against all that was worked.
//   - package peers: the log held against those of others who consent; package agree
//     says when two contacts agree.
//   - package setup: call and place, and where one stands; reminders, radio and horizon as
//     they are set; birds of one's own.
//   - package watch: passes planned (plan.go) and told (remind.go, evening.go);
//     package choice: which ones, package sound: when they sound; outing.go: a day in the
//     field prepared ahead, as package outing reads it, with its timetables
//     (sheets.go); sked.go: contacts arranged; card.go:
//     the one post that follows a pass from AOS to LOS; lists.go, radio.go,
//     light.go, company.go, pictures.go: what is asked of passes; missed.go: what
//     was caught up.
//   - package sky: birds, elements, and the tables shared by all operators, with
//     what an operator has over them.
//   - package exchange: which contacts go out in files, and what changed since
//     (handover.go); logs from elsewhere, read in slices (import.go); elements.go:
//     those that are sent; render.go: documents made with packages draw and calendar.
//   - outbox.go: what goes out (its order is storage's); storm.go: reminders that
//     begin early, because many fall due together. limits.go: what is too much, a full
//     disk. leave.go: an operator who is forgotten, everywhere.
//   - package say: every word of the conversation; it knows no store. Its room settings
//     has those of what is set. Package shown gives it what is stored as it is shown,
//     package layout the room of a phone, package phrase puts sentences together;
//     packages along and dial tell which moments a timetable has, and what a dial shows.
//
// # What never happens
//
// Nothing is logged silently wrong: a contact is certain, or it is asked. Times
// come in as values; nothing here reads the clock. Everything but the one
// reminder of a pass is silent; package sound says when that sounds.
package bot

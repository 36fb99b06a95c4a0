// Package telegram is the conversation on Telegram: one transport for package
// run's loops.
//
// # The way in
//
// The library (go-telegram/bot) polls and would lose messages on its own: it
// asks for the next ones, which confirms the last ones, before they are worked
// off; one update that it can't decode makes it ask for the same ones for ever;
// and it keeps no order. So it never sees a real update. Everything it fetches
// passes through an HTTP client of ours (wire.go), which puts the raw updates
// and the new offset on disk in one transaction (intake.go) and hands the
// library a stub that only moves its offset on. If the disk refuses, the library
// gets an error, the offset stays, and the service keeps the messages.
//
// Decode makes an event of one stored update, later, in the worker's hands. It
// reads only the few fields that are used, so that whatever the service invents
// next is at worst one update that is set aside.
//
// # The way out
//
// Send brings one post out (send.go). What the service answers is sorted into
// what can be done about it (fate.go): wait, give up, say it in another way, or
// stop altogether. An answer that was lost means that the post is sent again: a
// message twice is better than a contact without its echo. Rates stay below the
// documented ones (pace.go). There is never a parse_mode: what a person typed
// must not become markup, and text without markup can't be refused for it.
//
// # Who is let in
//
// The owner comes in with a code from a file that only the machine's user can
// read, and so does the next one, if the file is put there anew; others come in
// with an invitation of the owner's (guests.go), which can be taken back, or by
// their number or the open door in [Config] (admit.go). Of codes only hashes are
// kept, and messages with one go no further. What a stranger writes is never
// stored. A stranger gets one sentence, once; a group gets one and is left.
// Whoever is forgotten is a stranger again (leave.go).
//
// What has to outlive the process (the offset, who is let in, files still to be
// fetched, sentences still to be said) is one value beside the inbox (memory.go).
//
// The token is in no error and no log line: see [Token].
package telegram

// Package telegram is the conversation on Telegram: one transport for package
// run's loops.
//
// # The way in
//
// The library (go-telegram/bot) polls and would lose messages on its own: it
// asks for the next ones, which confirms the last ones, before they are worked
// off; one update that it can't decode makes it ask for the same ones for ever;
// and it keeps no order. So it never sees a real update. Everything it fetches
// passes through an HTTP client of ours (intercept.go), which puts the raw updates
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
// what can be done about it (outcome.go): wait, give up, say it in another way, or
// stop altogether. An answer that was lost means that the post is sent again: a
// message twice is better than a contact without its echo. Rates stay below the
// documented ones (pace.go). There is never a parse_mode: what a person typed
// must not become markup, and text without markup can't be refused for it.
//
// # Who is let in
//
// Package guests decides it; every update passes there first (intake.go). What has
// to outlive the process beside that (the offset, files still to be fetched) is one
// value beside the inbox (memory.go).
//
// The token is in no error and no log line: see [Token].
package telegram

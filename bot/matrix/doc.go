// Package matrix is the conversation over Matrix, an open protocol
// (spec.matrix.org, client-server API): one transport for package run's loops.
//
// # Rooms
//
// The bot talks in rooms that it opens itself, one for each operator, and declines
// all others: in a room that a person opens from a phone, encryption is on, or can be
// switched on, and the bot holds no keys. In ours the person can't, nor invite a third
// (rooms.go). Nothing is encrypted beyond the way to the server, which the person is
// told at first contact.
//
// # The way in
//
// The library's own loop moves on before what came has been worked, and gives a whole
// answer up for one odd event. So we ask ourselves, leave each event as it came, and put
// the events and the place to go on from on disk in one transaction (intake.go). Where
// the server cut a room's events short, the rest is fetched before that (fill). A
// place that the server doesn't know, or that is ahead of it, as after its restore from a
// backup, is found out: it is refused, or what we send doesn't come back. Then all is asked
// for anew, and the events' names sort out which are known.
//
// Decode makes an event of one stored event, later, in the worker's hands: it reads the
// few fields that are used, one by one (decode.go).
//
// # The way out
//
// Send brings one post out (send.go). Each event carries a key made of its post, because
// a server forgets which requests it has carried out. After a start, and after a try
// whose end is not known, the room's last events are searched for the key first. Where a
// server shows an event only later, and it went out again, the one that no post is known
// by is taken back. A complaint that we send too much holds the whole account up: servers
// count by account.
//
// # What the app can't do
//
// There are no buttons: they are numbered lines, and as many signs under the post that
// a person can tap; a number typed while the newest post has buttons, or as a reply to
// one, is a tap too. There is no key that shares a place, so the text has to ask for it.
//
// What makes no sound is a notice. The push rules that every account starts with
// (client-server API, "Predefined Rules") know two kinds of silent message: one of
// msgtype m.notice, which has no file, and an edit, from which apps take no file (from
// memory). So a file makes a sound. One that is asked for may: its reader holds the phone. One that
// comes by itself is not sent: a notice offers it, with a button (a post's Offer).
//
// The token is in no error and no log line: see [Token].
package matrix

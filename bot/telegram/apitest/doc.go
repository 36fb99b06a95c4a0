// Package apitest is a Bot API server for tests: the messaging service with its
// phones, its rules and its faults, in memory.
//
// A [Server] has two faces. It is an [http.Handler], to be put behind
// httptest.NewServer: then the real client, or a program of its own, talks to it
// over loopback. And it is an [http.RoundTripper] for tests in simulated time,
// where sockets can't be used.
//
// People are [Phone]s: what they say becomes updates, stamped by the server's
// clock at its receipt as the service does, and what the bot sends is read back
// with [Phone.Chat].
//
// The server is as strict as the real one wherever a bot can go wrong: an update
// is gone once a poll has asked for a later one, a second poll ends the first,
// lengths, sizes, button data, reactions and rates have limits, a person who has
// not written first can't be written to. It is stricter in one thing: it knows no
// parse_mode, because text that a person typed must never be markup.
//
// What goes wrong on the way is told with [Server.Fail] and [Server.Script].
//
// The rules come from the Bot API's documentation (core.telegram.org/bots/api,
// version 10.0), from its frequently asked questions on rates, and from the
// public source of its server; where a sentence of the server stands here from
// memory, the code says so.
package apitest

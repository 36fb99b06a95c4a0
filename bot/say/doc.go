// Package say holds every word of the conversation: plain values in, texts out. It
// knows no store, no clock and nothing of who asks; package bot turns what is stored
// into the views here (view.go) and decides what is said when. Its room settings says
// what an operator sets, package phrase puts sentences together, and package layout has
// the room that a phone gives a text, and lays it out.
//
// What holds of every text:
//
//   - What matters first stands first. Where room is short a text leaves out what
//     another line says too, and never a caution.
//   - Moments are UTC and say so; local time stands beside AOS alone.
//   - What an operator typed is quoted in a few characters.
//   - Sentences that never change are constants, the others functions of what they
//     tell. Names in Label are for buttons, and names in Caption for files.
//
// Lengths of time and moments are Go's, angles degrees, frequencies MHz unless a
// name says otherwise.
package say

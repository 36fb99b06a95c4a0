// Package draw makes the pictures that are looked at in a field, on a phone in
// sunlight at arm's length: plain values in, a PNG out. It knows nothing of
// operators, and the same values always make the same picture.
//
//   - A [Sky] is one pass over the own place, as one points: overhead is the
//     middle, true north is up, east is right.
//   - A [Worked] is a map of grids over coastlines in a frame of its own.
//   - A [Reach] is what a pass reaches, and when, around the own place.
//
// All are 1080 pixels wide, what a phone shows from edge to edge, so a letter
// of 40 pixels is as high as in the phone's own texts; there is none smaller
// than 34. Black on white, and a shape, a hatch or a word says whatever a colour
// says. A label that finds no room is left out rather than drawn over another.
//
// The letters are the Go fonts, whose licence stands in LICENSE-fonts.txt and
// inside the fonts themselves; the coastlines come from Natural Earth, which is
// in the public domain: land.md says how.
package draw

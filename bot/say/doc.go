// Package say holds every word and layout of the conversation: plain values in,
// texts out. It knows no store, no clock and nothing of who asks; package bot
// turns what is stored into the views here (view.go) and decides what is said when.
//
// What holds of every text:
//
//   - A phone at arm's length shows [Columns] columns and [Lines] lines without
//     scrolling. A text that stands alone and is edited is cut to that ([Fit]), an
//     answer takes as many messages as it needs ([Pages]), and the caption of a
//     file only has its lines broken ([Narrow]).
//   - What has columns is a table: it is shown in letters of one width, of which a
//     phone has room for [TableColumns] in a line. Its lines, and those emphasised,
//     carry a mark until they go out ([Styled]).
//   - What matters first stands first. Where room is short a text leaves out what
//     another line says too, and never a caution.
//   - Moments are UTC and say so; local time stands beside AOS alone.
//   - What an operator typed is quoted in a few characters ([Short]); what steers a
//     terminal or turns the writing around is taken out of what goes out ([Plain]).
//   - Sentences that never change are constants, the others functions of what they
//     tell. Names in Label are for buttons, and names in Caption for files.
//
// Lengths of time and moments are Go's, angles degrees, frequencies MHz unless a
// name says otherwise.
package say

// Package parse turns text into meaning: call signs, grids, spoken letters and
// whole messages. It is pure: it knows no clock, no store and no network, and
// what only others know (the stations heard on this pass, the grids a bird can
// serve) comes in with [Known].
//
// # Call signs
//
// The standard is Article 19 of the ITU Radio Regulations, with the series of
// its Appendix 42. A call sign is upper case when printed and may be typed in
// any case:
//
//	call   = [ place "/" ] base { "/" mark } | base "/" place [ "/" mark ] ;  (* at most two marks *)
//	base   = one D group | two D group | half D L [L] [L] | "3D2" L [L] [L]    (* valid *)
//	       | event | fused | stray ;                                          (* unusual *)
//	one    = "B" | "F" | "G" | "I" | "K" | "M" | "N" | "R" | "W" ;             (* No. 19.50 *)
//	two    = L L | L D2 | D2 L ;          (* never Q first; in Appendix 42 as a full series *)
//	half   = "3DA".."3DZ" | "3D2" | "SSA".."SSZ" ;                             (* No. 19.68.1 *)
//	group  = L [L] [L] [L] ;                                                   (* No. 19.68 *)
//	event  = ( one | two ) D { D } letters, or a group longer than four, or a
//	         digit inside the group ;                                          (* No. 19.68A *)
//	fused  = L D2 L [L] [L] [L] ;         (* no digit of its own separates *)
//	stray  = a prefix outside Appendix 42, D group ;
//	place  = one [D] | two [ D [L] ] | half [D] ;
//	mark   = "P" | "M" | "MM" | "AM" | "A" | "R" | "QRP" | "QRPP" | "LH" | D | L ;  (* but "B" *)
//	L = "A".."Z" ;  D = "0".."9" ;  D2 = "2".."9" ;
//
// Our exceptions: 1A, S0 and Z6 are on the air without being in Appendix 42 and
// count as stray; a base is at most twelve characters long; B as the only mark
// is a beacon and so never a contact.
//
// # Grids
//
// Maidenhead locators on WGS 84 as recommended by IARU Region 1: a field A-R
// (20° × 10°), a square 0-9 (2° × 1°), a subsquare A-X (5′ × 2.5′) and an
// extended square 0-9 (30″ × 15″), longitude first in each pair:
//
//	grid = F F [ D D [ S S [ D D ] ] ] ;  F = "A".."R" ;  S = "A".."X" ;
//
// # Lines
//
// A line holds contacts and whatever people write around them, in any order:
//
//	line    = { contact | bird | word } ;
//	contact = call grids | grids call ;
//	grids   = grid { sep ( grid | D D ) } ;      (* one; two on a line; four round a corner *)
//	call    = typed | glued with a grid | spelled ;
//	spelled = symbol { [ sep ] symbol } ;
//	symbol  = letters and digits | spoken word or phrase | "double" symbol | "stroke" ;
//	beside  = report | clock | offset | "name" word | mode ;   (* anywhere near *)
//	report  = "59" | "599" | "5/9" | "five nine" | … ;
//	clock   = ":MM" | "HH:MM" | "HHMM" [ "z" ] | ( "at" | "minute" ) figures | figures "zulu" ;
//	offset  = "+" ( [ H ":" ] M ":" SS | [ H "h" ] [ M "m" ] [ S "s" ] ) ;
//
// Reading goes in one direction. The line is folded to the few characters that
// the grammars know ([golang.org/x/text/unicode/norm] and a table of letters
// that look alike), and broken into words, each with all that it may spell and
// mean. Every way to take one or more words as a call, a grid, a part of one or
// something beside them becomes an arc of a lattice, with a cost: the more it
// is against custom, the higher. The cheapest way through the lattice is the
// reading. An item of it is certain only if no other call or grid lies on a way
// that is nearly as cheap over the same words, if nothing near it is left over
// that could have belonged to it, and if no word of the line denies or doubts
// it. Calls and grids are then paired by their order and by what stands between
// them; where that is not clear, nothing is.
//
// What spoken words stand for is told by a table, spoken.txt, in several languages.
// The words of a line vote for the language that it is in; a word of another
// language is a symbol only in a spelled run, and "from" and "thank you" carry
// nothing in any of them. A digit, then a word that may be one or none ("two for"),
// is asked about.
//
// What denies or doubts a contact is told by lists of words, by the forms of
// words ("unverified", "shouldn't"), by how words stand together ("too weak",
// "but …", "only the suffix", "my friend worked …", "… on the waterfall"), and where
// all that ends by what comments are made of: a word that is in no list makes an
// otherwise certain contact a question. A name, a place after "from", and what
// stands in brackets or behind "note:" may be any word. A time that is announced as
// something else ("los 19:30", "licensed 1957") is a comment; one that is not in
// UTC, or lies before the mark, is asked about.
//
// What is known of the pass enters as costs (a station heard on it is likely, a
// grid out of reach is not), and completes parts of calls and grids; what is
// known from earlier passes only fills the candidates of a question.
//
// The work is bounded by the length of a line: see the benchmarks.
package parse

// Package parse turns text into meaning: call signs, grids, spoken letters and whole messages.
// It is pure: it knows no clock, no store and no network, and what only others know (the
// stations heard on this pass, the grids a bird can serve) comes in with [Known].
//
// # Call signs
//
// The standard is Article 19 of the ITU Radio Regulations, with the series of its Appendix 42.
// A call sign is upper case when printed and may be typed in any case:
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
//	beside  = report | clock | offset | date | "name" word | mode ;   (* anywhere near *)
//	report  = "59" | "599" | "5/9" | "five nine" | … ;      (* one: received; two: sent, received *)
//	clock   = ":MM" | "HH:MM" [ ":SS" ] | "HHMM" [ "z" | "utc" ] | ( "at" | "minute" ) figures | figures "zulu" ;
//	offset  = "+" ( [ H ":" ] M ":" SS | [ H "h" ] [ M "m" ] [ S "s" ] ) ;
//	date    = YYYY "-" MM "-" DD | D "." M "." Y | D "/" M "/" Y | M "/" D "/" Y
//	        | D month [ Y ] | month D [ Y ] ;
//
// The seconds of a clock are 00 to 60, and not kept: a leap second belongs to the
// minute that it ends. Four figures alone are a time where they begin the line, or
// stand behind something read, a courtesy, or a word that announces a time; behind
// another word they are that word's number.
//
// Reading goes in one direction. The line is folded to the few characters that the grammars
// know ([golang.org/x/text/unicode/norm] and a table of letters that look alike), and broken
// into words, each with all that it may spell and mean. Every way to take one or more words as
// a call, a grid, a part of one or something beside them becomes an arc of a lattice, with a
// cost: the more it is against custom, the higher. The cheapest way through the lattice is the
// reading. An item of it is certain only if no other call or grid lies on a way that is nearly
// as cheap over the same words, if nothing near it is left over that could have belonged to it,
// and if no phrase of the line denies or doubts it. Calls and grids are then paired by their
// order and by what stands between them; where that is not clear, nothing is.
//
// What spoken words stand for is told by a table, spoken.txt, in several languages. The words
// of a line vote for the language that it is in; a word of another language is a symbol only in
// a spelled run, and "from" and "thank you" carry nothing in any of them. A digit, then a word
// that may be one or none ("two for"), is asked about; so is a call of one letter that runs on
// into its square, as a longer one. Between a spoken letter and a spoken square "in" of any
// language is that, without a vote, unless it could be a letter by its name; between two spoken
// symbols a word that means nothing else is one. The spelling alphabets that languages have of
// their own count only in them, first names of those in a line that is surely so.
//
// # Words and phrases
//
// No word of a language stands in the code. words.txt holds the classes of words,
// phrases.txt what phrases say of the contact beside them, a row each:
//
//	row     = sense "|" pattern { "|" "+" example } { "|" "-" counterexample } ;
//	pattern = part { " " part } ;
//	part    = ( word | "{" class "}" | "{" choice { "|" choice } "}" | item | ".." | "," | "^" | "$" ) [ "?" ] ;
//	choice  = word | ":" class ;
//	item    = "CALL" | "TYPED" | "GRID" | "ITEM" | "NUM" | "DIGITS" | "REPORT" ;
//
// Of phrases that share a word the one that states more parts holds, of equals the
// row that stands first. The senses and what the parts match are explained at the top
// of phrases.txt; [Explain] tells which rows held in a line.
//
// # Conservation
//
// Each word that was typed is used in a field, neutral (a number with its unit or behind its
// noun, a word between call and grid, what the tables know to say nothing but good), or kept in
// [Contact.Comment]: nothing is dropped. Words that no table knows neither doubt a contact nor
// let it pass: it is certain, and its comment says what must be seen before it leaves. A phrase
// that denies or doubts asks, and its words stand in the comment too. Words between two
// contacts belong to both, unless a pause parts them from one. Beside a contact that was typed
// whole, symbols leave a doubt only where they touch it: "3 bars of battery" is its comment.
//
// # Lines above
//
// A line without a contact that denies or plans, that gives only a day, or that ends in a
// colon governs the lines below it in the same message, until a blank line or another
// such line ([Header]), and never what stood above. Blank lines right behind it only set
// it off: what it denies is asked above it too, then. A line that only doubts or withdraws
// speaks of the contact above. Before a colon, or right before a list, such words head the
// rest of their own line, or the list. What is quoted or forwarded is
// somebody else's. A line without a call that tells where the writer is or what a place
// is like holds no contact ([Line.Whereabouts]). A word that opens a correction is no call.
//
// What is known of the pass enters as costs (a station heard on it is likely, a
// grid out of reach is not), and completes parts of calls and grids; what is
// known from earlier passes only fills the candidates of a question.
//
// The work is bounded by the length of a line: see the benchmarks.
package parse

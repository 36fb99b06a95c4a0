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
package parse

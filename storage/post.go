package storage

import (
	"cmp"
	"time"

	"skyslate/parse"
)

// Op is what a post does.
type Op string

// The kinds of post.
const (
	Send  Op = "send"
	Edit  Op = "edit"
	React Op = "react"
	File  Op = "file"
)

// Keys says what an app that has buttons of its own beside the keyboard may show
// with a post; others pass over it.
type Keys string

// The hints for an app's own buttons; without one they stay as they are.
const (
	KeysPlace Keys = "place" // the answer wanted is a place
	KeysReply Keys = "reply" // the answer wanted is a reply to the post
	KeysGone  Keys = "none"  // they may go again
)

// Pin says where an app that can pin posts may hold one up; others pass over it.
type Pin string

// The hints for pinning; without one the post stays as it is.
const (
	PinOn  Pin = "on"
	PinOff Pin = "off"
)

// Button is one button under a post; Data comes back when it is tapped (at most
// 64 bytes).
type Button struct {
	Label string `json:"label"`
	Data  string `json:"data"`
}

// The kinds of Recipe, and what of it they use.
const (
	RecipeADIF     = "adif"     // Contacts
	RecipeSky      = "sky"      // Pass
	RecipeReach    = "reach"    // Pass, Grids
	RecipeWorked   = "worked"   // From, To, Bird, Span
	RecipeCalendar = "calendar" // Passes
	RecipeSheets   = "sheets"   // Passes
)

// Recipe says how to make a document; it is rendered anew for each try.
type Recipe struct {
	Kind     string       `json:"kind"`
	FileName string       `json:"file_name"`
	Contacts []ContactRef `json:"contacts,omitempty"`
	Pass     PassID       `json:"pass,omitempty"`
	Passes   []PassID     `json:"passes,omitempty"`
	Grids    []parse.Grid `json:"grids,omitempty"` // wanted
	From     time.Time    `json:"from,omitzero"`   // contacts from ≤ time < to
	To       time.Time    `json:"to,omitzero"`
	Bird     BirdRef      `json:"bird,omitzero"`  // its contacts alone
	Span     string       `json:"span,omitempty"` // which contacts, in words
}

// Class says how soon a post goes out, among all that is owed: see [Owed].
type Class string

// The classes of posts, in the order of their sending.
const (
	ClassAnswer   Class = ""         // what a person waits for
	ClassAsk      Class = "ask"      // the same, a question: what follows may settle it
	ClassReminder Class = "reminder" // of a pass, worth the less the nearer AOS is
	ClassQuestion Class = "question" // asked unbidden: it can be answered later
	ClassCard     Class = "card"     // cards, pictures and all else that follows a pass
)

// A Span is a part of a post's text, in bytes, that is shown in a style.
type Span struct {
	Start int   `json:"start"`
	End   int   `json:"end"`
	Style Style `json:"style"`
}

// Style is how a part of a text is shown; what an app doesn't know, it shows plain.
type Style string

// The styles: emphasised, and in letters of one width.
const (
	Bold  Style = "bold"
	Table Style = "table"
)

// Post is one thing the bot owes an operator. Name is unique and ours
// ("local/ack/m3"); a later post with the same name replaces one that is not
// out yet. An Edit names the post it changes in Target: if that one is not out
// yet its content is replaced in place and nothing new is owed. The same holds
// among edits of one post and among reactions to one message: what isn't out
// keeps its place and its name and gets the newest content. A name that is out
// may be used again; the older post is then found by its AppID alone.
type Post struct {
	Name     string     `json:"name"`
	Operator OperatorID `json:"operator"`
	Of       OperatorID `json:"of,omitempty"` // whose log it tells of, where it goes to a second phone
	Made     time.Time  `json:"made"`
	NotAfter time.Time  `json:"not_after,omitzero"` // worthless later: dropped, not sent late
	Class    Class      `json:"class,omitempty"`
	Due      time.Time  `json:"due,omitzero"` // ClassReminder: AOS
	Op       Op         `json:"op"`
	Target   string     `json:"target,omitempty"`   // Edit: the name of the post to change
	ReplyTo  int64      `json:"reply_to,omitempty"` // Send, File: the message answered; React: the one reacted to
	Text     string     `json:"text,omitempty"`     // React: the sign; File: the caption
	Spans    []Span     `json:"spans,omitempty"`    // what of Text has a style, in order
	Buttons  [][]Button `json:"buttons,omitempty"`  // rows
	Silent   bool       `json:"silent,omitempty"`
	Hush     time.Time  `json:"hush,omitzero"` // going out later than that it is silent; zero: never for that
	Keys     Keys       `json:"keys,omitempty"`
	Pin      Pin        `json:"pin,omitempty"`
	Recipe   *Recipe    `json:"recipe,omitempty"`
	// Below is the end of Text that tells what the other of two phones did.
	Below string `json:"below,omitempty"`
	// Offer is the button that gets the file again, of a silent one that nobody has asked
	// for now: an app in which every file makes a sound shows it in the file's place.
	Offer *Button `json:"offer,omitempty"`
	// Last marks the farewell to an operator who is forgotten: it is forgotten
	// itself as soon as it is out.
	Last bool `json:"last,omitempty"`
	// Code is a part of Text that lets somebody in: an app with addresses that carry
	// codes to the bot shows such a one in its place.
	Code string `json:"code,omitempty"`
	// Voice is the messaging app's reference to a voice message, given back with
	// this post: an app that can sends the sound, Text below it.
	Voice string `json:"voice,omitempty"`
	// About are the contacts that a reply to this post means. A List shows them
	// among others: a reply with another call means none of them.
	About  []uint64  `json:"about,omitempty"`
	List   bool      `json:"list,omitempty"`
	Pass   PassID    `json:"pass,omitempty"`
	AppID  int64     `json:"app_id,omitempty"` // the messaging app's id once it is out, SentAt when it went
	SentAt time.Time `json:"sent_at,omitzero"`
}

// Log is whose log a post tells of.
func (p Post) Log() OperatorID { return cmp.Or(p.Of, p.Operator) }

// Package contact makes contacts of evidence: what was said and decided goes in,
// what it comes to goes out. It is pure: it knows no store, no clock, and no word
// that an operator reads.
//
// # Evidence
//
// A [storage.Sitting] holds the evidence around one or several passes, up to a
// pause: messages, edits of them, answers to questions, passes chosen, slates told,
// corrections of many contacts. It is only appended to. An edit counts where its
// message stands; what is taken back counts as if it had never come. [Derive] goes
// through it in order and comes to a [Log], anew at each event.
//
// A contact is named by its message, its line and its place in the line, and keeps
// that name while the line lives: a line that moves, or comes back, is the line it
// was (package lineage). Line by line the run builds what is claimed of each contact,
// and at the end, in settle.go and nowhere else, says what it is worth: State, Why and
// Time.
//
// What deriving leans on beside the evidence is [filing.Facts]: passes, birds, what the
// footprint reaches, who was worked before. Facts answer the same ever after.
//
// What the evidence is by now, line by line, and which pass each line belongs to, is
// package filing. A run over it, derive.go, is made of parts that each hold what they need:
// the book of contacts so far (book.go), the slates told (slate.go), and the settler. A
// line is read in read.go; take.go says whether it makes a contact or is about an earlier
// one, amend.go does to that what it says, reply.go takes what answers a post, answer.go
// taps and corrections of many. The result is in log.go; same.go says whether a contact is
// another than the stored one.
//
// # Whose line
//
// A quoted line, and each of a forwarded message, is somebody else's: its contacts are
// new ones and asked; all else holds for its message alone, or not at all. A line without
// the sign right below a quoted one, up to a blank line, may be the quote's or the
// operator's: its contacts are asked.
//
// Two phones may write one log (package phones). What belongs together by standing
// together does so on one phone: a delivery and what its names and times reach, the
// halves of a contact, a time told alone, the last contact that a correction means. Of
// what the other phone told that is asked. A bird named alone, a pass tapped and a slate
// hold for both. A station that both tell within a minute from one square, with calls that
// are a symbol off, may be one: the later one is asked before it is in the log, so that no
// file has both without an answer. Of one call and square on a pass a file has one anyway.
//
// # Times
//
// A contact has the time of its message while its bird was up; the typed one; the
// slate's plus the offset; else the middle of the pass: package timing. A slate takes
// along what waits for one under a pass that no word chose, and falls into its own. Of lines that
// came faster than they can have been typed the stamp is about the time. A time on a
// line of its own reaches to the end of the delivery, and further within the same pass
// only.
//
// # Answers
//
// A bare yes or no answers a question; where none is asked that has these answers, it says
// nothing of any contact.
//
// A tap answers a question ([Asked]) and holds as long as that stands: then it
// lapses, and it is asked anew. A time that was still to come when it was told can be taken
// once it is past. Which pass is meant no line that names its bird is answered by what
// answered earlier ones with another bird. A reply is evidence like any line: it counts where
// it stands, whatever becomes of the line that it answers. A correction that names no
// station speaks of the last one: the contact that the line before made or changed.
// Where that stands under another bird it is asked. A line that names a contact by its
// number ("3 is /p"), by its call ("F0ZZD is F0ZZQ", "F0ZZD's name is Anna") or by the grid
// that was wrong is evidence, too (naming.go). It means the contact on the pass that it
// names; of the list that was asked for right before it; else where the last contact stands,
// and where it would be filed itself: of both it is asked; with a call or a grid and a word
// of correction, else one of the last day: there it tells no new contact, unless asked.
// "F0ZZD was on HAYLOFT-2, not WICKET-1" moves it from the one to the other; where only the wrong
// one is named, the pass is asked. The numbers of one line mean contacts of one pass: of two
// that have them all it is asked. Another call alone leaves the grid as it is. Which one that was, or that it was none, is frozen when it is first heard: what
// was refused stays refused. A call without marks means its station under any, and leaves
// them to it; where that is several calls it is asked. "F0ZZD worked" answers what is asked
// of such a contact, on whatever pass, and tells a new one where none stands at hand. What was
// dropped comes back by its call; a drop whose words choose nobody knows which asks first. What a line
// answers, by reply or by such a name, is all that it speaks of: a bird, or a time, in it is
// for nothing else.
//
// A call alone and a grid alone are halves of a contact where the one follows the other
// within two minutes, with nothing of another contact between them; else it is asked.
//
// A grid alone that is a symbol off the one before it may put that right: then the call that
// follows is asked, too. A contact that waits for its pass and is told once more with a time or
// a bird is the one told; a time told of a contact that has none of its own is its time.
//
// What a line tells for certain and in full settles what was asked of the same contact, and of
// a grid alone right before it. A contact that stands is told once more by a line whose no puts
// right what is before it to what the contact has, or is about what was after it. That a station
// was not heard is no evidence of it.
//
// A station with another grid on the same pass is asked: who moves on is worked twice. A
// line that asks something of the bot says nothing of contacts, nor of the pass, even
// where it names a bird; nor does a line choose a bird that says more than its name.
package contact

// Package filing takes what was said line by line, and says under which pass each line
// belongs. It is pure: it knows no store, no clock, and no word that an operator reads.
//
// A [Correspondence] is the messages as they stand after their edits, without what was
// taken back, and the deliveries that they came in; each of their lines is read once, with
// nothing known but names (message.go). A [Finder] goes with a run over it. Of what came of
// the lines so far it asks no more than [Standing]; what it leans on beside is [Facts].
//
// # Which pass?
//
// One decision, beginning in match.go, in this order; the Reason of a [Match] names the row.
//
//	     what the line, or the moment, says                    it belongs to
//	1    a bird on the line, or alone above it in the          that bird's pass: the typed time's,
//	     delivery                                              the one up, the nearest
//	     … of which several passes went by in silence          asked; parts in order, if as many
//	     … that is still to rise while another is up           asked
//	     … that had no pass                                    none, and it is said
//	     … whose passes can't be worked out                    the bird alone
//	     a bird's name sent alone, or a pass tapped, before    that pass, until it has set
//	     … after it had set                                    that pass for some minutes; then asked,
//	                                                           while one is up that was up already
//	2    a typed time                                          the pass that was up then; of several
//	                                                           the one named before, the one that is
//	                                                           followed, or it is asked
//	     … beside a day of the past                            that of its bird, if it is named, or as
//	                                                           above, on that day
//	     … still to come today, with a pass the day before     asked
//	3    it answers a contact, or a post about a pass          that pass
//	     an offset                                             the recording whose slate was told last;
//	                                                           asked where that may be of several
//	4    one bird is up, followed or not                       that pass; one that went by in silence
//	                                                           is offered
//	     … not followed, right after LOS of the one worked     asked
//	     two are up, one of them followed                      the followed one: it is on the card
//	     two are up                                            asked
//	     nothing is up, just before AOS or after LOS           that pass
//	5    it was held back by the phone                         asked once for the delivery, the
//	                                                           earliest first
//	     … all in one go, next to a contact with a typed time  that contact's pass
//	     … and all later passes have lines of their own        the first
//	     nothing is up, passes went by since the phone         the only one, or asked
//	     was heard
//	     nothing is up, none went by                           the pass written down before; else
//	                                                           the last one worked or followed
//	     … hours ago, and nothing is written down on any       asked; one that has just set unfollowed
//	     (so of what was held back, where it is no heap)       is taken, the last one offered
//	     no pass far and wide                                  asked
//
// A delivery was held back if passes went by since the phone was last heard that had
// room for its contacts, and either nothing is up, or more stations came at once, faster
// than they can be typed, than the time since AOS gives, or than a thumb sends. One contact
// alone, while a bird is up, speaks for no earlier pass, nor do lines typed one by one.
package filing

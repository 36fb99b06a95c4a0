package parse

// Verdict says what may become of a line or of a contact in it.
type Verdict uint8

// The verdicts. Log: every part was read in exactly one sensible way. Ask:
// something is missing or doubtful. Ignore: no contact in it, a note of the pass.
const (
	Ignore Verdict = iota
	Ask
	Log
)

// String returns "ignore", "ask" or "log".
func (v Verdict) String() string { return [...]string{"ignore", "ask", "log"}[v] }

// MarshalText implements [encoding.TextMarshaler] with the words of String.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// Why is the reason for which a contact is not certain; "" if it is.
type Why string

// The reasons.
const (
	Ambiguous Why = "ambiguous" // it can be read in more than one way
	NoCall    Why = "no_call"   // a grid alone
	NoGrid    Why = "no_grid"   // a call alone
	BadCall   Why = "bad_call"  // where a call should stand there is none
	BadGrid   Why = "bad_grid"  // where a grid should stand there is none, or one out of reach
	Repaired  Why = "repaired"  // readable only after mending a likely slip
	Partial   Why = "partial"   // part of a call or grid
	Odd       Why = "unusual"   // an unusual call that was not confirmed before
	Dated     Why = "dated"     // another day than that of the pass, or one that can't be compared
	Elsewhere Why = "elsewhere" // not by the bird
	Denied    Why = "denied"    // the line says that it was no contact
	Doubted   Why = "doubted"   // the line itself doubts it
)

// Known is what is known before a message is read. The zero value knows nothing.
type Known struct {
	Own      Callsign  // never a contact
	OwnGrids []Grid    // where the operator stands; orders candidates
	Birds    []string  // names and aliases of the birds that can be meant
	Linear   bool      // the bird carries more than FM: mode words have a meaning
	Heard    []Station // stations of this pass, worked or only heard
	Expected []Station // stations scheduled for this pass
	// Confirmed reports whether an unusual call was confirmed before.
	Confirmed func(Callsign) bool
	// Worked returns the grids that a station gave on earlier passes.
	Worked func(Callsign) []Grid
	// Suffix returns the stations of earlier passes whose base ends in the
	// letters given (upper case).
	Suffix func(string) []Callsign
	// Prefix returns the stations of earlier passes that begin with the symbols given.
	Prefix func(string) []Callsign
	// Reachable reports whether the bird can serve a grid on this pass. A line
	// with a part of a grid may ask a few hundred times.
	Reachable func(Grid) bool
	// Date is the day of the pass: a typed one that fits it leaves no doubt.
	Date Date
	// Under is what the lines above in the same message say. Read keeps it up to
	// date from line to line; who reads lines one by one hands on what Line.Below returns.
	Under Header
}

// Station is a call and the grids it gave, if any.
type Station struct {
	Call  Callsign
	Grids []Grid
}

// Line is the reading of one line of a message.
type Line struct {
	Number   int    // from 1
	Text     string // as typed
	Verdict  Verdict
	Contacts []Contact
	// Bird is a bird named in the line, as written in Known.Birds; a line that
	// holds nothing else has no contacts.
	Bird string
	// Clock is set for a line that holds only a time.
	Clock Clock
	// Denies is set for a line that denies or doubts a contact and names none
	// ("not in log", "lost him"): it means the one before.
	Denies bool
	// Affirms is set for a line that says nothing but that there was a contact ("yes,
	// worked"), Withdraws for one that does nothing but take back what was said last.
	Affirms, Withdraws bool
	// Heads is what the line says of the lines below it, if Headed is set.
	Heads  Header
	Headed bool
	// Asks is set for a line that asks whether the stations in it were worked.
	Asks bool
	// Whereabouts is set for a line that names no call and says where the writer is, was
	// or will be, or what a place is like: its grids are nobody's.
	Whereabouts bool

	back bool // it points at a contact told before
}

// Contact is one contact, or a part of one, read from a line.
type Contact struct {
	Call   Callsign // the likeliest reading; zero if there is none
	Grids  []Grid   // one, two on a line, or four round a corner
	Clock  Clock
	Offset Offset // from the slate
	Date   Date   // as typed, on the line or above it
	Name   string // capitalised
	Report string // the one received, or the only one
	// ReportSent is the one given: the first of two, unless the line says otherwise.
	ReportSent string
	Mode       string // a mode word, upper case; only with Known.Linear
	Verdict    Verdict
	Why        Why // "" exactly if Verdict is Log
	// Candidates are what it could be, best first, at most four.
	Candidates []Candidate
	// Heard is set for a station that was only heard, or that the line denies.
	Heard bool
	// Corrects is set if the line corrects an earlier contact; Was names the
	// earlier call where the line tells it.
	Corrects bool
	Was      Callsign
	// Comment holds the words beside it that belong to no other field and that no
	// table knows to be harmless, in the order and the form in which they were
	// typed. A contact may be certain (Log) with words in it: it is up to the
	// operator to say that they don't deny it.
	Comment string
	Text    string // the words it was read from
}

// Candidate is one thing that a contact could be.
type Candidate struct {
	Call  Callsign
	Grids []Grid
}

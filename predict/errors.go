package predict

import "fmt"

// An InputError says where a text could not be read, what stood there and
// what was expected. Line and column count from 1, the column in bytes.
type InputError struct {
	File            string
	Line, Column    int
	Found, Expected string
}

func (e *InputError) Error() string {
	return fmt.Sprintf("%s:%d:%d: found %s, expected %s", e.File, e.Line, e.Column, e.Found, e.Expected)
}

// A Reason is why an element set is refused.
type Reason string

// The reasons for refusing an element set.
const (
	Absurd     Reason = "absurd elements"     // a value that no satellite of the Earth can have
	LowPerigee Reason = "perigee too low"     // the propagator's drag is wrong below 156 km
	Eccentric  Reason = "orbit too eccentric" // the propagator loses too much on such long orbits
	Decayed    Reason = "decayed"             // the orbit ends before the time asked for
)

// A Refusal is the error of an element set whose predictions would be wrong.
type Refusal struct {
	Name    string
	Catalog int
	Reason  Reason
	Detail  string // what was measured and what is allowed
}

func (r *Refusal) Error() string {
	return fmt.Sprintf("%s (catalog number %d) refused: %v: %s", r.Name, r.Catalog, r.Reason, r.Detail)
}

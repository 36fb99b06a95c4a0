package storage

// Report is what a store holds.
type Report struct {
	Path      string
	Schema    int
	Operators []OperatorReport
	Inbox     int // received, not worked yet
	SetAside  int // received, could not be worked
	Owed      int // posts that must still go out
	Agenda    int
}

// OperatorReport is what a store holds of one operator.
type OperatorReport struct {
	ID       OperatorID
	Call     string
	Contacts int
	Passes   int
	Messages int
}

// Verify is not whole yet.
func Verify(path string) (Report, error) { return Report{Path: path}, nil }

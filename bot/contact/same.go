package contact

import (
	"reflect"
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

// Same reports whether two versions of a contact say the same.
func Same(a, b storage.Contact) bool {
	return reflect.DeepEqual(bare(a), bare(b))
}

// bare is a contact without what only tells its version, in a form that compares: an
// empty list is none.
func bare(c storage.Contact) storage.Contact {
	c.Operator, c.ID, c.Version, c.Made, c.Cause, c.Line, c.Number = "", 0, 0, time.Time{}, storage.Cause{}, 0, 0
	c.Time = c.Time.UTC()
	c.Rivals = append([]storage.PassID(nil), c.Rivals...)
	c.Grids, c.OwnGrids = append([]parse.Grid(nil), c.Grids...), append([]parse.Grid(nil), c.OwnGrids...)
	c.Candidates = append([]storage.Candidate(nil), c.Candidates...)
	for i := range c.Candidates {
		c.Candidates[i].Grids = append([]parse.Grid(nil), c.Candidates[i].Grids...)
	}
	if c.Mark != nil {
		mark := *c.Mark
		mark.Slate = mark.Slate.UTC()
		c.Mark = &mark
	}
	return c
}

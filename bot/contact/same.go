package contact

import (
	"reflect"
	"slices"
	"time"

	"skyslate/storage"
)

// Same reports whether two versions of a contact say the same.
func Same(a, b storage.Contact) bool {
	return reflect.DeepEqual(bare(a), bare(b))
}

// bare is a contact without what only tells its version, in a form that compares.
func bare(c storage.Contact) storage.Contact {
	c.Operator, c.ID, c.Version, c.Made, c.Cause, c.Line = "", 0, 0, time.Time{}, storage.Cause{}, 0
	c.Time = c.Time.UTC()
	c.Candidates, c.Grids, c.OwnGrids, c.Rivals = filled(c.Candidates), filled(c.Grids), filled(c.OwnGrids), filled(c.Rivals)
	for i := range c.Candidates {
		if len(c.Candidates[i].Grids) == 0 {
			c.Candidates = slices.Clone(c.Candidates)
			c.Candidates[i].Grids = nil
		}
	}
	if c.Mark != nil {
		mark := *c.Mark
		mark.Slate = mark.Slate.UTC()
		c.Mark = &mark
	}
	return c
}

func filled[T any](list []T) []T {
	if len(list) == 0 {
		return nil
	}
	return list
}

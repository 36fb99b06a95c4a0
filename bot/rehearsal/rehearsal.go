// Package rehearsal is a scene to try the bot in: invented birds on invented
// orbits, an operator who is set up already, and a pass that is about to begin.
// Nothing in it exists, and its opening lines say so.
//
// The grid squares are real, because the Earth is. The call signs are formed by
// the rules, out of series that no administration gives to amateurs, so that
// they read like call signs and belong to nobody (common practice, no source).
package rehearsal

import (
	_ "embed"
	"errors"
	"fmt"
	"strings"
	"time"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

var (
	//go:embed birds.csv
	birdsFile string
	//go:embed elements.txt
	elementsFile string
	//go:embed opening.txt
	opening string
)

// Scene is all that a rehearsal starts with.
type Scene struct {
	Birds    []predict.Bird
	Elements []predict.Elements
	Operator storage.Operator // set up already
	From     time.Time        // twelve minutes before AOS of the first pass
	Opening  string           // what it is, and what to type
}

// Open sets the scene for the operator of that ID.
func Open(id storage.OperatorID) (Scene, error) {
	birds, err := predict.ReadBirds(strings.NewReader(birdsFile), "birds.csv")
	if err != nil {
		return Scene{}, fmt.Errorf("rehearsal: %w", err)
	}
	sets, problems, err := predict.ReadElements(strings.NewReader(elementsFile), "elements.txt")
	if err != nil {
		return Scene{}, fmt.Errorf("rehearsal: %w", err)
	}
	if len(problems) > 0 {
		errs := make([]error, len(problems))
		for i, p := range problems {
			errs[i] = p
		}
		return Scene{}, fmt.Errorf("rehearsal: %w", errors.Join(errs...))
	}
	from := time.Date(2027, time.May, 23, 10, 30, 0, 0, time.UTC)
	return Scene{
		Birds: birds, Elements: sets, Operator: operator(id, from), From: from, Opening: opening,
	}, nil
}

func operator(id storage.OperatorID, from time.Time) storage.Operator {
	grid := parse.MustParseGrid("IP62")
	lat, lon := grid.Center()
	home := storage.Place{Grids: []parse.Grid{grid}, LatDeg: lat, LonDeg: lon, Zone: "Atlantic/Faroe", Set: from}
	return storage.Operator{
		ID:     id,
		Joined: from,
		Call:   parse.MustParseCallsign("HX7KZQ"),
		Place:  home,
		Home:   home,
		Remind: storage.DefaultRemind(),
		Heard:  from,
	}
}

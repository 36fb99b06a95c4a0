package choice

import (
	"slices"

	"skyslate/storage"
)

// SamePlace reports whether two places are one.
func SamePlace(a, b storage.Place) bool {
	return slices.Equal(a.Grids, b.Grids) && a.LatDeg == b.LatDeg && a.LonDeg == b.LonDeg
}

// OnOuting reports whether a pass is one of an armed outing, whoever armed it.
func OnOuting(op storage.Operator, pass storage.Pass) bool {
	o, out := op.OutingAt(pass.TCA)
	return out && SamePlace(pass.Place, o.Place)
}

// ArmedWith is the outing that a pass of another one's hours was armed with before: each pass
// is at one place, so it is not armed with that as well.
func ArmedWith(op storage.Operator, o storage.Outing, pass storage.Pass) (storage.Outing, bool) {
	first, out := op.OutingAt(pass.TCA)
	return first, out && first.ID != o.ID && pass.Arm == storage.ArmOuting && SamePlace(pass.Place, first.Place)
}

// Falls reports whether a pass is in an outing's hours, and of no other outing.
func Falls(op storage.Operator, o storage.Outing, pass storage.Pass) bool {
	_, armed := ArmedWith(op, o, pass)
	return o.Holds(pass.TCA) && !armed
}

// Package lists has what the standard library's slices lack.
package lists

// Filter is the part of a list that is kept, in its order: a list of its own, nil where
// nothing is kept.
func Filter[T any](all []T, keep func(T) bool) []T {
	var some []T
	for _, v := range all {
		if keep(v) {
			some = append(some, v)
		}
	}
	return some
}

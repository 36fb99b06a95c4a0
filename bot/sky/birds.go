package sky

import (
	"slices"

	"skyslate/predict"
	"skyslate/storage"
)

// ProperNames returns what the birds are called, in the order of the list.
func (s *Sky) ProperNames() []string {
	var names []string
	for _, b := range s.birds {
		names = append(names, b.Name)
	}
	return names
}

// Names returns every word that means a bird.
func (s *Sky) Names() []string {
	names := s.ProperNames()
	for _, b := range s.birds {
		if b.LogName != b.Name {
			names = append(names, b.LogName)
		}
		names = append(names, b.Aliases...)
	}
	return names
}

// Follows reports whether the rules of an operator are about a bird.
func (s *Sky) Follows(r storage.Remind, bird predict.Bird) bool {
	return Wanted(r.Birds, Ref(bird), s.birds)
}

// OtherNames are the aliases that are more than another way to write a name told
// already.
func OtherNames(b predict.Bird) []string {
	return slices.DeleteFunc(slices.Clone(b.Aliases), func(s string) bool {
		return plainName(s) == plainName(b.Name) || plainName(s) == plainName(b.LogName)
	})
}

// Ref is a bird as contacts and passes keep it.
func Ref(b predict.Bird) storage.BirdRef {
	return storage.BirdRef{Name: b.Name, LogName: b.LogName, Catalog: b.Catalog}
}

// Wanted reports whether a bird is named, or, where none is, whether it is an
// FM bird known to be on.
func Wanted(names []string, ref storage.BirdRef, birds []predict.Bird) bool {
	if len(names) > 0 {
		return slices.ContainsFunc(names, func(name string) bool {
			b, ok := Find(birds, name)
			return ok && b.Catalog == ref.Catalog
		})
	}
	i := slices.IndexFunc(birds, func(b predict.Bird) bool { return b.Catalog == ref.Catalog })
	return i >= 0 && birds[i].Status.On && birds[i].Main().Kind == predict.FM
}

package bot

import (
	"skyslate/predict"
	"skyslate/storage"
)

// names returns what the birds are called, in the order of the list.
func (s *Sky) names() []string {
	var names []string
	for _, b := range s.birds {
		names = append(names, b.Name)
	}
	return names
}

// Names returns every word that means a bird.
func (s *Sky) Names() []string {
	names := s.names()
	for _, b := range s.birds {
		if b.LogName != b.Name {
			names = append(names, b.LogName)
		}
		names = append(names, b.Aliases...)
	}
	return names
}

// follows reports whether the rules of an operator are about a bird.
func follows(r storage.Remind, bird predict.Bird, birds []predict.Bird) bool {
	return wanted(r.Birds, birdRef(bird), birds)
}

func birdRef(b predict.Bird) storage.BirdRef {
	return storage.BirdRef{Name: b.Name, LogName: b.LogName, Catalog: b.Catalog}
}

package storage

// makeRoomForSittings leads from schema 2 to 3: evidence is kept. What was logged
// before has none and stays as it is until somebody speaks of it.
func (t tx) makeRoomForSittings() error {
	_, err := t.CreateBucketIfNotExists([]byte(inSittings))
	return err
}

// indexSquaresAndTails leads from schema 1 to 2: contacts are found by grid
// square and by the end of the call, too.
func (t tx) indexSquaresAndTails() error {
	for _, name := range []string{inContactsBySquare, inContactsByTail} {
		if _, err := t.CreateBucketIfNotExists([]byte(name)); err != nil {
			return err
		}
	}
	var latest []Contact // an index can't be written while its contacts are read
	err := scan(t.in(inContacts), nil, func(_ []byte, c Contact) (bool, error) {
		if n := len(latest); n > 0 && latest[n-1].Operator == c.Operator && latest[n-1].ID == c.ID {
			latest[n-1] = c
		} else {
			latest = append(latest, c)
		}
		return true, nil
	})
	if err != nil {
		return err
	}
	return each(latest, t.indexContact)
}

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
	return eachWhere(t.in(inContacts), t.isLatest, t.indexContact)
}

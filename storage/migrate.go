package storage

import (
	"slices"

	"skyslate/storage/schema"
)

// migrate brings the layout from an older schema up to this program's. A layout
// that was ever released stays reachable from here, and a golden file of it opens
// in the tests.
func (t *tx) migrate(from int) {
	schema.Create(t.Tx)
	if from < 2 { // since then contacts are found by grid square and by the end of the call
		t.reindex()
	}
	// Since 3 evidence is kept. What was logged before has none and stays as it is
	// until somebody speaks of it.
	// Since 5 messages have names beside their numbers: those of before have none.
	// Since 6 logs are held against each other: nobody's of before is.
	if from < 4 { // since then neighbours are one value; until all are, both are read
		packingKey.Set(t.Tx, true)
	}
}

// packingKey is where it stands beside the header that entries of an older schema are
// still to be packed.
const packingKey schema.Value[bool] = "packing"

// packedAtOnce is how many of them are packed in a transaction.
const packedAtOnce = 2000

// pack puts together the entries of an older schema, and gives back the room.
func (s opening) pack() error {
	var packing bool
	err := s.read(func(t *tx) { packing = packingKey.Has(t.Tx) })
	if err != nil || !packing {
		return err
	}
	for _, name := range slices.Concat(schema.Records, schema.Indexes) {
		for next := []byte{}; next != nil && err == nil; {
			err = s.update(func(t *tx) { next = t.In(name).Pack(next, packedAtOnce) })
		}
	}
	if err == nil {
		err = s.update(func(t *tx) { packingKey.Delete(t.Tx) })
	}
	if err == nil {
		err = s.file.Compact()
	}
	return err
}

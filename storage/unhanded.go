package storage

import (
	"bytes"
	"encoding/binary"
	"iter"
	"strconv"

	"skyslate/storage/keys"
	"skyslate/storage/table"
)

// VisitUnhanded visits the latest versions of the contacts of which no file holds
// just that one, by ID, until visit says stop: those that never went out, those
// that were changed or are to be deleted elsewhere. What came of an import and is
// only remembered is no part of the log and is passed over. A long log costs
// little: of what went out only the keys are read.
func (v *View) VisitUnhanded(op OperatorID, visit func(Contact) (more bool)) error {
	out := map[string][]byte{}
	for k, handed := range v.t.In(inHanded).Up(keys.With(opKey(op))) {
		out[string(k)] = handed
	}
	for k, text := range v.t.newest(op) {
		handed, isOut := out[string(k[:len(k)-keys.VersionLen])]
		isOut = isOut && !bytes.Contains(handed, []byte(`"withdrawn":true`))
		if isOut && outAs(handed, binary.BigEndian.Uint32(k[len(k)-keys.VersionLen:])) || !isOut && onlyRemembered(text) {
			continue
		}
		if c, ok := table.Read[Contact](v.t.In(inContacts), k, text); !ok || !visit(c) {
			break
		}
	}
	return v.t.Err()
}

// newest are the latest versions of an operator's contacts, by ID.
func (t *tx) newest(op OperatorID) iter.Seq2[[]byte, []byte] {
	return func(yield func(key, text []byte) bool) {
		var key, text []byte
		for k, later := range t.In(inContacts).Up(keys.With(opKey(op))) {
			if key != nil && !bytes.HasPrefix(k, key[:len(key)-keys.VersionLen]) && !yield(key, text) {
				return
			}
			key, text = k, later
		}
		if key != nil {
			yield(key, text)
		}
	}
}

// outAs reports whether a stored hand-over is one of a version that stands,
// without reading it.
func outAs(value []byte, version uint32) bool {
	const head = `{"version":`
	rest, ok := bytes.CutPrefix(value, []byte(head))
	number, _, comma := bytes.Cut(rest, []byte(","))
	n, err := strconv.ParseUint(string(number), 10, 32)
	return ok && comma && err == nil && uint32(n) == version
}

// onlyRemembered reports whether a stored contact is Remembered, without reading
// it. Inside a text of JSON the quotation marks would be escaped.
func onlyRemembered(value []byte) bool {
	return bytes.Contains(value, []byte(`,"state":"`+string(Remembered)+`",`))
}

package storage

import (
	"bytes"
	"encoding/binary"
	"strconv"
)

// VisitUnhanded visits the latest versions of the contacts of which no file holds
// just that one, by ID, until visit says stop: those that never went out, those
// that were changed or are to be deleted elsewhere. What came of an import and is
// only remembered is no part of the log and is passed over. A long log costs
// little: of what went out only the keys are read.
func (v *View) VisitUnhanded(op OperatorID, visit func(Contact) (more bool)) error {
	prefix := opKey(op)
	contacts, out := v.t.Bucket([]byte(inContacts)).Cursor(), v.t.Bucket([]byte(inHanded)).Cursor()
	handedKey, handed := out.Seek(prefix)
	k, data := contacts.Seek(prefix)
	for k != nil && bytes.HasPrefix(k, prefix) {
		latest, value := k, data
		id := k[:len(k)-versionLen]
		for k, data = contacts.Next(); bytes.HasPrefix(k, id); k, data = contacts.Next() {
			latest, value = k, data
		}
		for handedKey != nil && bytes.Compare(handedKey, id) < 0 {
			handedKey, handed = out.Next()
		}
		isOut := bytes.Equal(handedKey, id) && !bytes.Contains(handed, []byte(`"withdrawn":true`))
		if isOut && outAs(handed, binary.BigEndian.Uint32(latest[len(id):])) || !isOut && onlyRemembered(value) {
			continue
		}
		if c, ok := read[Contact](v.t.in(inContacts), latest, value); !ok || !visit(c) {
			break
		}
	}
	return v.t.err
}

// versionLen is how many bytes of a contact's key are its version.
const versionLen = 4

// outAs reports whether a stored hand-over is one of a version that stands,
// without reading it.
func outAs(value []byte, version uint32) bool {
	const head = `{"version":`
	rest, ok := bytes.CutPrefix(value[min(envelopeHead, len(value)):], []byte(head))
	number, _, comma := bytes.Cut(rest, []byte(","))
	n, err := strconv.ParseUint(string(number), 10, 32)
	return ok && comma && err == nil && uint32(n) == version
}

// onlyRemembered reports whether a stored contact is Remembered, without reading
// it. Inside a text of JSON the quotation marks would be escaped.
func onlyRemembered(value []byte) bool {
	return bytes.Contains(value, []byte(`,"state":"`+string(Remembered)+`",`))
}

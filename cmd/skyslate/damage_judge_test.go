package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	bolt "go.etcd.io/bbolt"

	"skyslate/storage"
)

// judge says how it ended, and fails the test where it may not end so.
func (d *damaging) judge(t *testing.T, dir string, a afterDamage, fate string) (end string) {
	t.Helper()
	wrong := func(format string, args ...any) {
		t.Errorf("damage %d (%s): %s", d.number, strings.Join(d.what, ", "), fmt.Sprintf(format, args...))
	}
	if fate != "" {
		wrong("the process %s", fate)
		return strings.Fields(fate)[0]
	}
	if a.Refused != "" {
		wrong("refused: %s", a.Refused)
		return "refused"
	}
	if a.After != "" {
		wrong("verify says afterwards: %s", a.After)
	}
	if len(a.Again) > 0 {
		wrong("the second opening says: %q", a.Again)
	}
	if len(a.Unread)+len(a.Left) > 0 {
		wrong("new contacts are lost: %q %q", a.Unread, a.Left)
	}
	missing, gone := d.missing(t, dir)
	if len(missing) > 0 {
		wrong("%d values that stood whole are lost: %.500q\nnotices: %q", len(missing), missing, a.Notices)
	}
	d.judgeNumbers(a, gone, wrong)
	d.judgeGuests(a, wrong)
	d.judgeDocuments(a, wrong)
	switch {
	case len(gone) > 0 && len(a.Notices) == 0:
		wrong("%d values are lost in silence", len(gone))
		return "lost in silence"
	case len(gone) > 0:
		return "mended, some lost, told"
	case len(a.Notices) > 0:
		return "mended, told"
	}
	return "harmless"
}

// judgeNumbers: no contact has the number of one that was there before, and an
// operator who has lost something is told.
func (d *damaging) judgeNumbers(a afterDamage, gone map[string]bool, wrong func(string, ...any)) {
	for op, id := range a.New {
		if o := d.originals[databaseFile].highest(op); id != 0 && id <= o {
			wrong("contact %d of %s is new, and %d were there before", id, op, o)
		}
	}
	for value := range gone {
		_, key, _ := strings.Cut(value, " ")
		op, _, _ := strings.Cut(key, "\x00")
		if a.New[storage.OperatorID(op)] != 0 && !strings.Contains(a.Told[storage.OperatorID(op)], "store was damaged") {
			wrong("%s isn't told of %q", op, value)
			return
		}
	}
}

// judgeGuests: who was put out is not let in again, and whoever was in is in, as
// long as the database or the journal is whole.
func (d *damaging) judgeGuests(a afterDamage, wrong func(string, ...any)) {
	whole := func(name string) bool {
		f := d.files[name]
		return f.body != nil && bytes.Equal(bytes.ReplaceAll(f.body, []byte("\r\n"), []byte("\n")), d.originals[name].body)
	}
	if (whole(databaseFile) || whole(journalFile)) && (!a.Owner || !slices.Equal(a.Members, damagedOps)) {
		wrong("in are %q, owner %t", a.Members, a.Owner)
	}
}

// judgeDocuments: of a document nothing is read but all that it held; else its
// operator is told.
func (d *damaging) judgeDocuments(a afterDamage, wrong func(string, ...any)) {
	for _, op := range damagedOps[:2] {
		taken, all := a.Taken[op], damagedCalls(op)
		slices.Sort(taken)
		told := strings.Contains(a.Told[op], "send it again") || strings.Contains(a.Told[op], "store was damaged")
		if !slices.Equal(taken, all) && (len(taken) > 0 || !told) {
			wrong("of the log of %s %d contacts of %d are taken, and it is told %q", op, len(taken), len(all), a.Told[op])
		}
	}
}

// highest is the highest number of an operator's contacts.
func (o *original) highest(op storage.OperatorID) (id uint64) {
	for _, values := range o.pages {
		for _, v := range values {
			if v.bucket == "contacts" && strings.HasPrefix(v.key, string(op)+"\x00") {
				n, _ := contactOfKey(v.key)
				id = max(id, n)
			}
		}
	}
	return id
}

// contactOfKey reads the number and the version from a contact's key.
func contactOfKey(key string) (id uint64, version uint32) {
	for _, b := range []byte(key[len(key)-12 : len(key)-4]) {
		id = id<<8 | uint64(b)
	}
	for _, b := range []byte(key[len(key)-4:]) {
		version = version<<8 | uint32(b)
	}
	return id, version
}

// missing are the values that stood whole in one of the files and aren't in the
// store any more; gone are all that were in the sound database and aren't.
func (d *damaging) missing(t *testing.T, dir string) (missing []string, gone map[string]bool) {
	t.Helper()
	there := map[string]string{}
	readDatabase(t, filepath.Join(dir, databaseFile), func(tx *bolt.Tx) {
		eachValue(tx, func(_ []byte, v storedValue) { there[v.bucket+" "+v.key] = v.value })
	})
	lost := func(v storedValue) bool {
		value, ok := there[v.bucket+" "+v.key]
		return !ok || v.bucket == "contacts" && value != v.value
	}
	gone = map[string]bool{}
	for _, values := range d.originals[databaseFile].pages {
		for _, v := range values {
			if lost(v) {
				gone[v.bucket+" "+v.key] = true
			}
		}
	}
	for name, f := range d.files {
		for run, values := range f.from.pages {
			from, to := run[0]*pageSize, (run[1]+1)*pageSize
			if to > len(f.body) || !bytes.Equal(f.body[from:to], f.from.body[from:to]) {
				continue
			}
			for _, v := range values {
				if lost(v) {
					missing = append(missing, fmt.Sprintf("%s in %s", v.bucket+" "+v.key, name))
				}
			}
		}
	}
	slices.Sort(missing)
	return missing, gone
}

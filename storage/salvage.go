package storage

import (
	"cmp"
	"os"
	"path/filepath"
	"slices"

	"skyslate/storage/backups"
	"skyslate/storage/keys"
	"skyslate/storage/salvage"
	"skyslate/storage/table"
)

// salvageRules say of which buckets a value that is out of date is better than none.
func salvageRules() map[string]salvage.Rule {
	rules := map[string]salvage.Rule{}
	for _, name := range bucketNames {
		rules[name] = salvage.LiveAlone
	}
	rules[inOperators] = salvage.Rather
	for _, name := range []string{inContacts, inMessages, inSteps, inSittings} {
		rules[name] = salvage.Growing
	}
	return rules
}

// salvageFile collects what can be read of a damaged database with pages of
// that size. A newer schema is left to the skyslate that knows it.
func salvageFile(path string, pageSize int) (*salvage.Find, error) {
	found, err := salvage.File(path, pageSize, salvageRules())
	var head header
	if err == nil {
		if found.Read(inMeta, headerKey, &head); head.Schema > schema {
			err = tooNew(head.Schema)
		}
	}
	return found, err
}

// salvageBackups finds the newest good backup of the store in dir, empty if there
// is none, and collects what can be read of the damaged ones after it, the oldest
// first. The database at own, unless that is empty, is good and one of them. Of a
// good one its own word counts, not its name.
func salvageBackups(dir, own string) (good string, newer []*salvage.Find) {
	good = own
	known, _ := backupIn(own) // none is known of none
	for _, p := range backups.In(filepath.Join(dir, backupsName)) {
		named, _ := backups.TimeOf(p)
		if !named.After(known.Made) {
			break
		}
		if _, err := examine(p); err == nil {
			b, _ := backupIn(p)
			if made := cmp.Or(b.Made, named); made.After(known.Made) {
				good, known.Made = p, made
			}
		} else if g, err := salvageFile(p, os.Getpagesize()); err == nil {
			newer = append(newer, g)
		}
	}
	slices.Reverse(newer)
	return good, newer
}

// takeOver joins what was salvaged to what is there, an older copy.
func (t mender) takeOver(g *salvage.Find) {
	for _, name := range recordNames {
		b := t.In(name)
		for k, text := range g.Over(name, b.Get) {
			b.Put(k, text)
		}
	}
	t.takeOverKept(g)
	// An older copy still has in the inbox and on the agenda what was worked since.
	table.DeleteWhere(t.In(inInbox), nil, func(_ []byte, r Raw) bool { return t.In(inSeen).Has(keys.Text(r.ID)) })
	table.DeleteWhere(t.In(inAgenda), nil, func(_ []byte, i Item) bool { return t.In(inSeen).Has(keys.Text(i.Event())) })
	// The queue is numbered anew: two copies may have given a place twice.
	owed := slices.DeleteFunc(table.All[outPost](t.In(inPosts), nil), func(p outPost) bool { return !p.owed() })
	slices.SortStableFunc(owed, func(a, b outPost) int { return cmp.Compare(a.Seq, b.Seq) })
	for i, p := range owed {
		p.Seq = uint64(i + 1)
		t.putPost(p)
	}
	t.reindex()
	t.noteLost(g)
}

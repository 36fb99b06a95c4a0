package storage_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
)

// damages are the ways a file goes bad; each changes the text it gets.
func damages(random *rand.Rand) map[string]func([]byte) []byte {
	const page = 4096
	return map[string]func([]byte) []byte{
		"bit": func(b []byte) []byte {
			b[random.IntN(len(b))] ^= 1 << random.IntN(8)
			return b
		},
		// The head pages, and the heads of all others, hold the numbers that
		// would do the most harm.
		"head bit": func(b []byte) []byte {
			at := page*random.IntN(len(b)/page) + random.IntN(96)
			b[at] ^= 1 << random.IntN(8)
			return b
		},
		"zeroed page": func(b []byte) []byte {
			clear(b[page*random.IntN(len(b)/page):][:page])
			return b
		},
		"random page": func(b []byte) []byte {
			for i := range b[page*random.IntN(len(b)/page):][:page] {
				b[i] = byte(random.Uint32())
			}
			return b
		},
		"cut short": func(b []byte) []byte { return b[:random.IntN(len(b))] },
		"swapped pages": func(b []byte) []byte {
			x, y := random.IntN(len(b)/page)*page, random.IntN(len(b)/page)*page
			for i := range page {
				b[x+i], b[y+i] = b[y+i], b[x+i]
			}
			return b
		},
	}
}

// TestDamages damages the database, and in half of the cases the newest backup
// as well, in every way at random. No opening may end the process, and every
// contact must be there afterwards, once, as it was.
func TestDamages(t *testing.T) {
	each := 100
	if testing.Short() {
		each = 10
	}
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 20)
	for n := range 2 {
		_, err := s.BackupTo("", t0.Add(time.Duration(n)*time.Hour), 5)
		noError(t, err)
	}
	for n := uint64(1); n <= 20; n += 2 {
		commit(t, s, fmt.Sprint("edit", n), storage.Changes{Contacts: []storage.Contact{contact(op, n, 2, "OX9QZW"), contact(op, n, 3, "OX9QZV")}})
	}
	commit(t, s, "last", storage.Changes{Contacts: []storage.Contact{contact(op, 21, 1, "OX9QZV")}})
	want := contacts(t, s)
	noError(t, s.Close())
	sound, err := os.ReadFile(inDir(dir, "skyslate.db"))
	noError(t, err)
	journal, err := os.ReadFile(inDir(dir, "contacts.journal"))
	noError(t, err)
	newest := inDir(dir, "backups", "skyslate-20261124T184205Z.db")
	backup, err := os.ReadFile(newest)
	noError(t, err)

	random := rand.New(rand.NewPCG(7, 11))
	var harmless, found int
	ways := damages(random)
	for _, name := range slices.Sorted(maps.Keys(ways)) {
		damage := ways[name]
		for n := range each {
			noError(t, os.WriteFile(inDir(dir, "skyslate.db"), damage(append([]byte(nil), sound...)), 0o600))
			b := append([]byte(nil), backup...)
			if n%2 == 0 {
				b = damage(b)
			}
			noError(t, os.WriteFile(newest, b, 0o600))
			noError(t, os.WriteFile(inDir(dir, "contacts.journal"), journal, 0o600))
			_, verifyErr := storage.Verify(dir)
			s := open(t, dir)
			same(t, fmt.Sprintf("%s %d", name, n), contacts(t, s), want)
			notices := strings.Join(s.Notices(), "\n")
			noError(t, s.Close())
			if (verifyErr == nil) != (notices == "") {
				t.Errorf("%s %d: verify said %v, opening said %q", name, n, verifyErr, notices)
			}
			if notices == "" {
				harmless++
			} else {
				found++
			}
			_, err := storage.Verify(dir)
			noError(t, err)
			for _, p := range glob(t, dir, "*.broken-*") {
				noError(t, os.Remove(p))
			}
		}
	}
	t.Logf("%d damages: %d found and restored, %d harmless", harmless+found, found, harmless)
}

// TestSalvage zeroes each page in turn, without any backup. Contacts come from
// the journal; of the rest only what was on that page, or beneath it, may be
// missing.
func TestSalvage(t *testing.T) {
	const page, all, waiting = 4096, 60, 3
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, all)
	for n := range waiting {
		noError(t, s.Accept(nil, storage.Raw{ID: fmt.Sprint("waits", n), At: t0}))
	}
	want := contacts(t, s)
	noError(t, s.Close())
	sound, err := os.ReadFile(inDir(dir, "skyslate.db"))
	noError(t, err)

	pages := len(sound) / page
	var lostMessages, lostInbox, lostPosts int
	for n := range pages {
		text := append([]byte(nil), sound...)
		clear(text[n*page:][:page])
		noError(t, os.WriteFile(inDir(dir, "skyslate.db"), text, 0o600))
		s := open(t, dir)
		same(t, fmt.Sprintf("contacts without page %d", n), contacts(t, s), want)
		if messages(t, s) < all {
			lostMessages++
		}
		if _, ok, _ := s.Oldest(); !ok {
			lostInbox++
		}
		if owed, _ := s.Owed(t0); len(owed) < all {
			lostPosts++
		}
		noError(t, s.Close())
		_, err := storage.Verify(dir)
		noError(t, err)
	}
	t.Logf("%d pages zeroed in turn: messages missing after %d, inbox after %d, posts after %d", pages, lostMessages, lostInbox, lostPosts)
	if lostMessages > pages/5 || lostInbox > pages/5 || lostPosts > pages/3 {
		t.Error("too much is lost")
	}
}

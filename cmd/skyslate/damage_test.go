package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"skyslate/storage/block"
)

// How many damages TestDamaged does, and from which one on.
var (
	damageCount = flag.Int("damages", 40, "how many damages TestDamaged does")
	damageFirst = flag.Uint64("damage", 1, "the number of the first of them")
)

// damageTime is how long a process may take over a damaged store: many times as
// long as it takes over a sound one, so what is still going on then hangs.
const damageTime = 60 * time.Second

const (
	databaseFile = "skyslate.db"
	journalFile  = "contacts.journal"
)

// TestDamaged damages a store at random, each copy in other ways and places: the
// database, the journal, the backups, the documents, in all combinations. A process
// of its own opens the copy, works messages and the agenda. It must come to its end,
// lose nothing that stood whole in any of the files, say what is lost, give no
// contact's number twice, read nothing out of a damaged document, and leave a store
// that verifies.
func TestDamaged(t *testing.T) {
	t.Parallel()
	sound := filepath.Join(t.TempDir(), "sound")
	if err := seedDamaged(sound); err != nil {
		t.Fatal(err)
	}
	originals := readOriginals(t, sound)
	ends, many := map[string]int{}, *damageCount
	if testing.Short() {
		many /= 4
	}
	for n := *damageFirst; n < *damageFirst+uint64(many); n++ {
		dir := filepath.Join(t.TempDir(), "damaged")
		d := newDamage(n, originals)
		d.write(t, sound, dir)
		a, fate := openInProcess(t, dir)
		ends[d.judge(t, dir, a, fate)]++
	}
	for _, end := range slices.Sorted(maps.Keys(ends)) {
		t.Logf("%4d %s", ends[end], end)
	}
}

// openInProcess is openDamaged in a process of its own.
func openInProcess(t *testing.T, dir string) (a afterDamage, fate string) {
	t.Helper()
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), damageTime)
	defer cancel()
	cmd := exec.CommandContext(ctx, program)
	cmd.Env = append(os.Environ(), damagedVar+"="+dir)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	switch {
	case ctx.Err() != nil:
		return a, "hangs"
	case err != nil:
		return a, fmt.Sprintf("crashes: %v: %.2000s", err, stderr.String())
	}
	if err := json.Unmarshal(out, &a); err != nil {
		return a, fmt.Sprintf("says %q: %v", out, err)
	}
	return a, ""
}

// original is a file of the sound store. Of a database it knows where each value
// lies.
type original struct {
	body []byte
	// pages are the values that lie in a run of pages in use, by its first and
	// last page.
	pages map[[2]int][]storedValue
	used  []int // all pages in use
}

type storedValue struct{ bucket, key, value string }

func readOriginals(t *testing.T, dir string) map[string]*original {
	t.Helper()
	all := map[string]*original{}
	for _, pattern := range []string{databaseFile, journalFile, "backups/*.db", "documents/*"} {
		paths, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil || len(paths) == 0 {
			t.Fatal(pattern, err)
		}
		for _, path := range paths {
			body, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			name, _ := filepath.Rel(dir, path)
			all[name] = &original{body: body}
			if strings.HasSuffix(name, ".db") {
				all[name].readPages(t, path)
			}
		}
	}
	return all
}

// lastingBuckets are the buckets of which nothing is ever taken out: what stood whole
// in any of the files must be there in the end.
var lastingBuckets = []string{"operators", "contacts", "messages", "steps", "sittings"}

const pageSize = 4096

// readPages finds out where the values of a sound database lie.
func (o *original) readPages(t *testing.T, path string) {
	t.Helper()
	o.pages = map[[2]int][]storedValue{}
	readDatabase(t, path, func(tx *bolt.Tx) {
		var runs [][2]int
		for id := 0; id < len(o.body)/pageSize; {
			info, err := tx.Page(id)
			if err != nil || info == nil {
				break
			}
			if info.Type != "free" {
				o.used = append(o.used, id)
			}
			if info.Type == "leaf" {
				runs = append(runs, [2]int{id, id + info.OverflowCount})
			}
			id += 1 + info.OverflowCount
		}
		eachValue(tx, func(whole []byte, v storedValue) {
			for _, run := range runs {
				if bytes.Contains(o.body[run[0]*pageSize:(run[1]+1)*pageSize], whole) {
					o.pages[run] = append(o.pages[run], v)
				}
			}
		})
	})
}

// eachValue visits the values of the lastingBuckets buckets, each with what it lies in.
func eachValue(tx *bolt.Tx, visit func(whole []byte, v storedValue)) {
	for _, name := range lastingBuckets {
		_ = tx.Bucket([]byte(name)).ForEach(func(k, v []byte) error { // never fails
			entries, _ := block.Read(name, k, v) // none where it isn't sound
			for _, e := range entries {
				visit(slices.Concat(k, v), storedValue{name, string(e.Key), string(e.Value)})
			}
			return nil
		})
	}
}

func readDatabase(t *testing.T, path string, read func(*bolt.Tx)) {
	t.Helper()
	db, err := bolt.Open(path, 0o600, &bolt.Options{ReadOnly: true, PreLoadFreelist: true})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.View(func(tx *bolt.Tx) error { read(tx); return nil }); err != nil {
		t.Fatal(err)
	}
}

// damaging is what is done to the files of a store.
type damaging struct {
	number    uint64
	random    *rand.Rand
	originals map[string]*original
	what      []string
	files     map[string]damagedFile
}

// damagedFile is a file after the damage; nil: it is gone.
type damagedFile struct {
	body []byte
	from *original // the file it once was
}

// newDamage makes up the damage of that number.
func newDamage(number uint64, originals map[string]*original) *damaging {
	d := &damaging{
		number: number, random: rand.New(rand.NewPCG(number, 17)), originals: originals,
		files: map[string]damagedFile{},
	}
	for name, o := range originals {
		d.files[name] = damagedFile{bytes.Clone(o.body), o}
	}
	const inDatabase, inJournal, inBackups, inDocuments = 1, 2, 4, 8
	where := []int{
		inDatabase, inDatabase, inDatabase, inJournal, inBackups, inDatabase | inJournal, inDatabase | inJournal,
		inDatabase | inBackups, inJournal | inBackups, inDatabase | inJournal | inBackups,
		inDocuments, inDatabase | inDocuments,
	}[number%12]
	for _, name := range slices.Sorted(maps.Keys(originals)) {
		switch {
		case name == databaseFile && where&inDatabase != 0, name == journalFile && where&inJournal != 0,
			strings.HasPrefix(name, "backups/") && where&inBackups != 0 && d.random.IntN(3) > 0,
			strings.HasPrefix(name, "documents/") && where&inDocuments != 0 && d.random.IntN(3) > 0:
			d.spoil(name)
		}
	}
	if where&inDocuments != 0 {
		for _, name := range []string{"surplus", "%zz", "7001%2Flog.new", "directory/surplus"} {
			d.files["documents/"+name] = damagedFile{[]byte("<CALL:6>OX9QZT<EOR>"), new(original)}
		}
	}
	return d
}

// spoil damages a file in one to three ways.
func (d *damaging) spoil(name string) {
	ways := journalWays // and those of documents
	if strings.HasSuffix(name, ".db") {
		ways = databaseWays
	}
	for range 1 + d.random.IntN(3) {
		way := slices.Sorted(maps.Keys(ways))[d.random.IntN(len(ways))]
		f := d.files[name]
		if len(f.body) < 3*pageSize && strings.HasSuffix(name, ".db") || len(f.body) < 200 {
			return
		}
		d.files[name] = ways[way](d, f)
		d.what = append(d.what, name+": "+way)
	}
}

type spoiling func(*damaging, damagedFile) damagedFile

// bytesOf are the bytes of a file that are damaged at random.
type bytesOf struct {
	*rand.Rand
	b    []byte
	used []int // the pages in use
}

// inPlace is a damage of the bytes of a file.
func inPlace(change func(bytesOf) []byte) spoiling {
	return func(d *damaging, f damagedFile) damagedFile {
		return damagedFile{change(bytesOf{d.random, f.body, f.from.used}), f.from}
	}
}

// flip turns a bit over in so many bytes from one on.
func (f bytesOf) flip(from, width int) []byte {
	f.b[from+f.IntN(min(width, len(f.b)-from))] ^= 1 << f.IntN(8)
	return f.b
}

// page is where a page begins that is in use, or was.
func (f bytesOf) page() int {
	if page := f.used[f.IntN(len(f.used))] * pageSize; page+pageSize <= len(f.b) {
		return page
	}
	return pageSize * f.IntN(len(f.b)/pageSize)
}

var databaseWays = map[string]spoiling{
	"a bit":                   inPlace(func(f bytesOf) []byte { return f.flip(0, len(f.b)) }),
	"a bit of a page":         inPlace(func(f bytesOf) []byte { return f.flip(f.page(), pageSize) }),
	"a bit of a page's head":  inPlace(func(f bytesOf) []byte { return f.flip(f.page(), 16) }),
	"a bit of a page's table": inPlace(func(f bytesOf) []byte { return f.flip(f.page()+16, 160) }),
	"a bit of the head pages": inPlace(func(f bytesOf) []byte { return f.flip(pageSize*f.IntN(2), 80) }),
	"a letter of an item":     inPlace(func(f bytesOf) []byte { return f.inText(`"kind":"`) }),
	"a letter of a contact":   inPlace(func(f bytesOf) []byte { return f.inText(`"own_call":"`) }),
	"a zeroed page": inPlace(func(f bytesOf) []byte {
		clear(f.b[f.page():][:pageSize])
		return f.b
	}),
	"a random page": inPlace(func(f bytesOf) []byte {
		for at, i := f.page(), 0; i < pageSize; i++ {
			f.b[at+i] = byte(f.Uint32())
		}
		return f.b
	}),
	"swapped pages": inPlace(func(f bytesOf) []byte {
		x, y := f.b[f.page():][:pageSize], f.b[f.page():][:pageSize]
		kept := bytes.Clone(x)
		copy(x, y)
		copy(y, kept)
		return f.b
	}),
	"zeroed head pages": inPlace(func(f bytesOf) []byte {
		clear(f.b[:2*pageSize])
		return f.b
	}),
	"cut short": inPlace(func(f bytesOf) []byte { return f.b[:f.IntN(len(f.b))] }),
	"emptied":   inPlace(func(f bytesOf) []byte { return f.b[:0] }),
	"deleted":   inPlace(func(bytesOf) []byte { return nil }),
	"a text":    inPlace(func(bytesOf) []byte { return bytes.Repeat([]byte("73 de OX9QZT\n"), 999) }),
	"an older copy": func(d *damaging, _ damagedFile) damagedFile {
		names := slices.DeleteFunc(slices.Sorted(maps.Keys(d.originals)), func(n string) bool {
			return !strings.HasPrefix(n, "backups/")
		})
		o := d.originals[names[d.random.IntN(len(names))]]
		return damagedFile{bytes.Clone(o.body), o}
	},
}

// inText changes a letter behind one of the places where a text stands.
func (f bytesOf) inText(text string) []byte {
	var places []int
	for at := 0; ; at++ {
		next := bytes.Index(f.b[at:], []byte(text))
		if next < 0 {
			break
		}
		at += next
		places = append(places, at+len(text))
	}
	if len(places) > 0 {
		f.flip(places[f.IntN(len(places))], 3)
	}
	return f.b
}

// lines cuts lines off a text: those before one of them, or those after it.
func (f bytesOf) lines(before bool) []byte {
	lines := bytes.SplitAfter(f.b, []byte("\n"))
	at := f.IntN(len(lines))
	if before {
		return bytes.Join(lines[at:], nil)
	}
	return bytes.Join(lines[:at], nil)
}

var journalWays = map[string]spoiling{
	"a bit":     databaseWays["a bit"],
	"cut short": databaseWays["cut short"],
	"emptied":   databaseWays["emptied"],
	"deleted":   databaseWays["deleted"],
	"a text":    databaseWays["a text"],
	"CR and LF": inPlace(func(f bytesOf) []byte { return bytes.ReplaceAll(f.b, []byte("\n"), []byte("\r\n")) }),
	"a few bits": inPlace(func(f bytesOf) []byte {
		for range 8 {
			f.flip(0, len(f.b))
		}
		return f.b
	}),
	"zeros": inPlace(func(f bytesOf) []byte {
		clear(f.b[f.IntN(len(f.b)):])
		return f.b
	}),
	"turned over": inPlace(func(f bytesOf) []byte {
		lines := bytes.SplitAfter(f.b, []byte("\n"))
		slices.Reverse(lines)
		return bytes.Join(lines, nil)
	}),
	"the last lines lost":  inPlace(func(f bytesOf) []byte { return f.lines(false) }),
	"the first lines lost": inPlace(func(f bytesOf) []byte { return f.lines(true) }),
}

// write makes the damaged copy of a store.
func (d *damaging) write(t *testing.T, sound, dir string) {
	t.Helper()
	if err := os.CopyFS(dir, os.DirFS(sound)); err != nil {
		t.Fatal(err)
	}
	for name, f := range d.files {
		path := filepath.Join(dir, name)
		var err error
		if f.body == nil {
			err = os.Remove(path)
		} else if err = os.MkdirAll(filepath.Dir(path), 0o700); err == nil {
			err = os.WriteFile(path, f.body, 0o666)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

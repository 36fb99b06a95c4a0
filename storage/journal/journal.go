package journal

import (
	"bytes"
	"errors"
	"hash"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"skyslate/storage/disk"
)

// Journal is the open file. Its methods may be called from several goroutines.
type Journal struct {
	writing sync.Mutex // held over a write, which the disk may make long

	mu     sync.Mutex
	path   string
	f      *os.File
	safe   Extent          // what is in the file for good
	behind []byte          // lines that are to follow
	once   map[string]bool // of the lines since it was opened
}

// Extent is a file up to an end of a line.
type Extent struct {
	Size int64  `json:"size"`
	Sum  uint32 `json:"sum"` // CRC-32C
}

func (x Extent) with(text []byte) Extent {
	return Extent{x.Size + int64(len(text)), crc32.Update(x.Sum, castagnoli, text)}
}

// State is a journal with lines that are about to follow: how far it was safely
// written before, and what it may lack of its end.
type State struct {
	Safe   Extent `json:"safe"`
	Behind string `json:"behind,omitempty"`
}

// mostBehind is up to which length a state holds what is to follow: beyond it a
// journal that lacks of its end is not resumed.
const mostBehind = 32 << 10

// Entry is an object that is to become a line. Of entries of one name, unless that is
// empty, the first alone gets a line while the journal is open.
type Entry struct {
	Object []byte
	Once   string
}

// Batch are the lines of some entries.
type Batch struct {
	text []byte
	once []string
}

// Open opens the journal at its end. One that is missing is made, and begins with
// title, an object.
func Open(path string, title []byte) (*Journal, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	j := &Journal{path: path, f: f, once: map[string]bool{}}
	sum := crc32.New(castagnoli)
	size, err := io.Copy(sum, f)
	j.safe = Extent{size, sum.Sum32()}
	if err == nil && size == 0 {
		j.behind = Line(title)
		err = errors.Join(j.Write(), disk.SyncDir(filepath.Dir(path)))
	}
	end := []byte{'\n'}
	if err == nil {
		_, err = f.ReadAt(end, j.safe.Size-1)
	}
	if err == nil && end[0] != '\n' {
		j.behind = []byte{'\n'}
		err = j.Write()
	}
	err = errors.Join(err, f.Chmod(0o600)) // whoever saved it may have had other habits
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return j, nil
}

// Resume opens the journal if it is in a state, or lacks of the end what the state
// holds: nil if not.
func Resume(path string, known State) *Journal {
	f, err := os.OpenFile(path, os.O_RDWR, 0o600)
	if err != nil {
		return nil
	}
	sum := crc32.New(castagnoli)
	_, err = io.CopyN(sum, f, known.Safe.Size)
	there, errRest := io.ReadAll(io.LimitReader(f, mostBehind+1))
	lacks, follows := strings.CutPrefix(known.Behind, string(there))
	follows = follows && (len(there) == 0 || bytes.HasSuffix(there, []byte("\n"))) // a torn line is told
	if err != nil || errRest != nil || !follows || sum.Sum32() != known.Safe.Sum || f.Chmod(0o600) != nil {
		_ = f.Close() // it is read anew, line by line
		return nil
	}
	return &Journal{path: path, f: f, safe: known.Safe.with(there), behind: []byte(lacks), once: map[string]bool{}}
}

// Close closes the file.
func (j *Journal) Close() error { return j.f.Close() }

// Behind is how many lines are to follow.
func (j *Journal) Behind() int {
	j.mu.Lock()
	defer j.mu.Unlock()
	return bytes.Count(j.behind, []byte("\n"))
}

// With are the lines of entries, and the state of the journal with them. They are in
// it once they were added.
func (j *Journal) With(entries []Entry) (lines Batch, then State) {
	j.mu.Lock()
	defer j.mu.Unlock()
	batched := map[string]bool{}
	for _, e := range entries {
		if e.Once != "" {
			if batched[e.Once] || j.once[e.Once] {
				continue
			}
			batched[e.Once] = true
			lines.once = append(lines.once, e.Once)
		}
		lines.text = append(lines.text, Line(e.Object)...)
	}
	if then = (State{j.safe, string(j.behind) + string(lines.text)}); len(then.Behind) > mostBehind {
		then = State{j.safe.with([]byte(then.Behind)), ""}
	}
	return lines, then
}

// Add makes lines follow.
func (j *Journal) Add(lines Batch) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.behind = append(j.behind, lines.text...)
	for _, name := range lines.once {
		j.once[name] = true
	}
}

// Write writes durably what is to follow. On an error that stays so, and the file ends
// with a whole line.
func (j *Journal) Write() error {
	j.writing.Lock()
	defer j.writing.Unlock()
	j.mu.Lock()
	f, safe, text := j.f, j.safe, bytes.Clone(j.behind)
	j.mu.Unlock()
	if len(text) == 0 {
		return nil
	}
	err := f.Truncate(safe.Size)
	if err == nil {
		_, err = f.WriteAt(text, safe.Size)
	}
	if err = errors.Join(err, f.Sync()); err != nil {
		return errors.Join(err, f.Truncate(safe.Size))
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	j.safe, j.behind = safe.with(text), bytes.Clone(j.behind[len(text):])
	return nil
}

// Rewrite replaces the file by what change makes of it. Lines are added meanwhile: the
// last of them are copied while those who write wait. Only one at a time may rewrite.
func (j *Journal) Rewrite(change func(old *io.SectionReader, to io.Writer) error) error {
	if err := j.Write(); err != nil {
		return err
	}
	j.mu.Lock()
	end := j.safe.Size
	j.mu.Unlock()
	fresh, err := disk.Create(j.path)
	if err != nil {
		return err
	}
	sum := crc32.New(castagnoli)
	err = change(io.NewSectionReader(j.f, 0, end), io.MultiWriter(fresh, sum))
	if err == nil {
		err = j.goOn(fresh, sum, end)
	}
	if err != nil {
		return errors.Join(err, fresh.Close(), os.Remove(fresh.Name()))
	}
	return disk.SyncDir(filepath.Dir(j.path))
}

// goOn goes on in another file, which holds what is wanted up to end.
func (j *Journal) goOn(fresh *os.File, sum hash.Hash32, end int64) error {
	j.writing.Lock()
	defer j.writing.Unlock()
	_, err := io.Copy(io.MultiWriter(fresh, sum), io.NewSectionReader(j.f, end, j.safe.Size-end))
	size, unknown := fresh.Seek(0, io.SeekCurrent)
	if err = errors.Join(err, unknown, fresh.Sync()); err != nil {
		return err
	}
	if err := os.Rename(fresh.Name(), j.path); err != nil {
		return err
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	_ = j.f.Close() // the file it was is gone
	j.f, j.safe = fresh, Extent{size, sum.Sum32()}
	clear(j.once)
	return nil
}

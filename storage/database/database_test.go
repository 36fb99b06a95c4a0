package database

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"skyslate/storage/block"
	"skyslate/storage/fault"
	"skyslate/storage/table"
)

var layout = table.Layout{"texts": block.Single}

func opening(t *testing.T, path string) *File {
	t.Helper()
	f, err := Open(path, false, layout)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func noError(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// fill puts many texts, each of which holds a word.
func fill(many int, word string) func(*table.Tx) {
	return func(t *table.Tx) {
		t.Create("texts")
		for n := range many {
			t.In("texts").Set(fmt.Append(nil, n), fmt.Sprint(word, bytes.Repeat([]byte{'x'}, 500)))
		}
	}
}

// filled is the path of a database with texts.
func filled(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "some.db")
	f := opening(t, path)
	noError(t, errors.Join(f.Update(fill(100, "kept")), f.Close()))
	return path
}

func TestExamine(t *testing.T) {
	foreign := errors.New("foreign")
	for name, c := range map[string]struct {
		change func(path string) error
		want   error
	}{
		"as it is":    {func(string) error { return nil }, nil},
		"missing":     {os.Remove, os.ErrNotExist},
		"empty":       {func(path string) error { return os.Truncate(path, 0) }, block.ErrDamaged},
		"cut short":   {func(path string) error { return os.Truncate(path, 4*4096) }, block.ErrDamaged},
		"a text":      {func(path string) error { return os.WriteFile(path, bytes.Repeat([]byte("text"), 4096), 0o600) }, ErrNoDatabase},
		"a directory": {func(path string) error { return errors.Join(os.Remove(path), os.Mkdir(path, 0o700)) }, ErrForeign},
		"a bad value": {func(path string) error {
			f := opening(t, path)
			bad := func(t *table.Tx) { t.Fail(t.Bucket([]byte("texts")).Put([]byte("1"), []byte("no envelope"))) }
			return errors.Join(f.Update(bad), f.Close())
		}, block.ErrDamaged},
	} {
		path := filled(t)
		noError(t, c.change(path))
		if _, err := Examine(path, layout, func(*table.Tx) {}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
		// Somebody else's database isn't called damaged.
		if _, err := Examine(path, layout, func(t *table.Tx) { t.Fail(foreign) }); name == "a bad value" && !errors.Is(err, foreign) {
			t.Errorf("of another program: %v", err)
		}
	}
}

// One head page alone may be bad; two updates write both anew.
func TestHalved(t *testing.T) {
	path := filled(t)
	text, err := os.ReadFile(path)
	noError(t, err)
	for _, head := range []int{0, os.Getpagesize()} {
		hurt := bytes.Clone(text)
		hurt[head+20] ^= 1
		noError(t, os.WriteFile(path, hurt, 0o600))
		halved, err := Examine(path, layout, func(*table.Tx) {})
		if !halved { // it was the newer one
			if !errors.Is(err, block.ErrDamaged) {
				t.Errorf("head at %d: %v", head, err)
			}
			continue
		}
		f := opening(t, path)
		noError(t, errors.Join(f.UpdateTwice(func(*table.Tx) {}), f.Close()))
		if halved, err := Examine(path, layout, func(*table.Tx) {}); halved || err != nil {
			t.Errorf("mended: %v %v", halved, err)
		}
	}
}

func TestLocked(t *testing.T) {
	path := filled(t)
	f := opening(t, path)
	if _, err := Open(path, false, layout); !errors.Is(err, ErrLocked) {
		t.Errorf("opened twice: %v", err)
	}
	f.in.abandon()
	noError(t, opening(t, path).Close())
}

// A write that fails leaves nobody sure, a panic inside the library neither; the file is
// opened again, and the next write goes through.
func TestOpenedAgain(t *testing.T) {
	for name, spoil := range map[string]func(f *File) func(*table.Tx){
		"closed beneath the library": func(f *File) func(*table.Tx) {
			noError(t, f.in.fd.Close())
			return fill(1, "new")
		},
		"a page makes no sense": func(*File) func(*table.Tx) {
			return func(*table.Tx) { panic("page 7") }
		},
	} {
		f := opening(t, filled(t))
		if err := f.Update(spoil(f)); !errors.Is(err, ErrUncertain) {
			t.Errorf("%s: %v", name, err)
		}
		if err := f.Update(fill(2, "newer")); err != nil {
			t.Errorf("%s: the next write: %v", name, err)
		}
		noError(t, f.Close())
	}
}

// A caller's own error changes nothing, and is in its own words.
func TestRefused(t *testing.T) {
	f := opening(t, filled(t))
	mine := errors.New("not so")
	err := f.Update(func(x *table.Tx) {
		x.In("texts").Delete([]byte("1"))
		x.Fail(mine)
	})
	if !errors.Is(err, ErrRefused) || !errors.Is(err, mine) || err.Error() != "not so" {
		t.Errorf("%v", err)
	}
	noError(t, f.View(func(x *table.Tx) {
		if !x.In("texts").Has([]byte("1")) {
			t.Error("it was changed all the same")
		}
	}))
	noError(t, errors.Join(f.Close(), f.Close()))
	if err := f.View(func(*table.Tx) {}); err != ErrClosed {
		t.Errorf("after the end: %v", err)
	}
}

// What was deleted stands in free pages until they are overwritten, or are left behind.
func TestTracesGo(t *testing.T) {
	for name, clean := range map[string]func(f *File) error{
		"overwritten": func(f *File) error {
			err := Overwrite(f.Update, func(int64) error { return nil })
			return errors.Join(err, f.Update(func(t *table.Tx) { t.Drop(Filler) }))
		},
		"compacted": (*File).Compact,
	} {
		path := filled(t)
		f := opening(t, path)
		noError(t, f.Update(fill(100, "secret")))
		noError(t, f.Update(fill(100, "public")))
		noError(t, clean(f))
		noError(t, f.View(func(x *table.Tx) {
			if s, _ := table.Get[string](x.In("texts"), []byte("7")); s == "" {
				t.Errorf("%s: the texts are gone", name)
			}
		}))
		noError(t, f.Close())
		text, err := os.ReadFile(path)
		noError(t, err)
		if bytes.Contains(text, []byte("secret")) || !bytes.Contains(text, []byte("public")) {
			t.Errorf("%s: the traces are still there, or all is gone", name)
		}
		if _, err := Examine(path, layout, func(*table.Tx) {}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestOverwriteStops(t *testing.T) {
	f := opening(t, filled(t))
	defer f.Close()
	closing := errors.New("closing")
	if err := Overwrite(f.Update, func(int64) error { return closing }); err != closing {
		t.Errorf("stopped: %v", err)
	}
}

type memoryFault struct{}

func (memoryFault) Addr() uintptr { return 1 }

func TestGuard(t *testing.T) {
	for name, c := range map[string]struct {
		all    bool
		panics any
		passes bool
	}{
		"a fault of the memory map": {false, memoryFault{}, false},
		"the library's panic":       {true, "page 7", false},
		"the caller's own":          {false, "mine", true},
	} {
		func() {
			defer func() {
				if passed := recover() != nil; passed != c.passes {
					t.Errorf("%s passes: %v", name, passed)
				}
			}()
			if err := Guard(c.all, func() error { panic(c.panics) }); !errors.Is(err, block.ErrDamaged) {
				t.Errorf("%s: %v", name, err)
			}
		}()
	}
}

func TestNoSpace(t *testing.T) {
	for err, want := range map[error]bool{
		fault.In("write", syscall.ENOSPC): true, syscall.EDQUOT: true, ErrNoSpace: true, syscall.EIO: false, nil: false,
	} {
		if got := NoSpace(err); errors.Is(got, ErrNoSpace) != want || !errors.Is(got, err) {
			t.Errorf("%v: %v", err, got)
		}
	}
}

func TestCopyTo(t *testing.T) {
	path := filled(t)
	f := opening(t, path)
	defer f.Close()
	closing := errors.New("closing")
	if err := f.CopyTo(path+".copy", func() error { return closing }); err == nil || !strings.Contains(err.Error(), "closing") {
		t.Errorf("stopped: %v", err)
	}
	noError(t, f.CopyTo(path+".copy", func() error { return nil }))
	if _, err := Examine(path+".copy", layout, func(*table.Tx) {}); err != nil {
		t.Error(err)
	}
}

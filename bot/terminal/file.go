package terminal

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode"
)

const (
	longestName = 100  // of a file that the bot sends, in bytes
	mostCopies  = 9999 // of one name
)

// safeName makes a name that is only a name, on any system, out of the one that
// the bot gave a file.
func safeName(name string) string {
	name = strings.Map(func(r rune) rune {
		if r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("._-", r)) {
			return r
		}
		return '_'
	}, name)
	name = strings.TrimLeft(name, ".")
	if len(name) > longestName {
		ext := filepath.Ext(name)
		if len(ext) > longestName/2 {
			ext = ""
		}
		name = name[:longestName-len(ext)] + ext
	}
	return cmp.Or(name, "file")
}

// writeFile writes a file into dir, under a name that is not taken, and returns
// its path.
func writeFile(dir, name string, body []byte) (string, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	name = safeName(name)
	ext := filepath.Ext(name)
	path := filepath.Join(dir, name)
	for n := 2; n <= mostCopies+1; n++ {
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if errors.Is(err, fs.ErrExist) {
			path = filepath.Join(dir, fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), n, ext))
			continue
		}
		if err != nil {
			return "", err
		}
		_, err = f.Write(body)
		if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
			return "", errors.Join(err, os.Remove(path)) // no half of it stays
		}
		return path, nil
	}
	return "", fmt.Errorf("%s has %d files named %s already", dir, mostCopies, name)
}

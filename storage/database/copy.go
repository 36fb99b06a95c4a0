package database

import (
	"errors"
	"io"
	"os"

	"skyslate/storage/table"
)

// CopyTo writes a consistent copy to a file while work goes on. Before each part of it
// that may be stopped.
func (f *File) CopyTo(path string, stop func() error) error {
	to, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	err = f.View(func(t *table.Tx) {
		_, err := t.WriteTo(stoppable{to, stop})
		t.Fail(err)
	})
	return errors.Join(err, to.Sync(), to.Close())
}

type stoppable struct {
	io.Writer
	stop func() error
}

func (s stoppable) Write(b []byte) (int, error) {
	if err := s.stop(); err != nil {
		return 0, err
	}
	return s.Writer.Write(b)
}

package storage

import (
	"io"
)

func surveyPages(r io.ReaderAt, size int64) error { return nil }

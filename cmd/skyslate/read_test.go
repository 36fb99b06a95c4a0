package main

import (
	"errors"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
)

func TestEachLine(t *testing.T) {
	tests := []struct {
		in   string
		want []string
	}{
		{"", nil},
		{"\n", []string{""}},
		{"a", []string{"a"}},
		{"a\r\nb\n\nc", []string{"a", "b", "", "c"}},
		{"\ufeffa\n\ufeffb", []string{"a", "\ufeffb"}},
	}
	for _, tt := range tests {
		var got []string
		err := eachLine(iotest.OneByteReader(strings.NewReader(tt.in)), func(n int, line []byte, err error) error {
			if got = append(got, string(line)); n != len(got) || err != nil {
				t.Errorf("%q: line %d is number %d, %v", tt.in, len(got), n, err)
			}
			return nil
		})
		if diff := cmp.Diff(tt.want, got); diff != "" || err != nil {
			t.Errorf("%q: %v %s", tt.in, err, diff)
		}
	}
}

func TestEachLineStops(t *testing.T) {
	enough := errors.New("enough")
	err := eachLine(strings.NewReader("a\nb\n"), func(n int, _ []byte, _ error) error {
		if n > 1 {
			t.Error("went on")
		}
		return enough
	})
	if !errors.Is(err, enough) {
		t.Errorf("error %v", err)
	}
	broken := errors.New("the line went dead")
	err = eachLine(iotest.ErrReader(broken), func(int, []byte, error) error { return nil })
	if !errors.Is(err, broken) {
		t.Errorf("error %v", err)
	}
}

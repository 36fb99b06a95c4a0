package piece

import (
	"slices"
	"testing"

	"skyslate/storage"
)

func TestShorten(t *testing.T) {
	if got := (Text{Text: "short"}).Shorten(10); got.Text != "short" {
		t.Errorf("got %q", got.Text)
	}
	first, second := storage.Span{Start: 0, End: 10, Style: storage.Bold}, storage.Span{Start: 11, End: 28, Style: storage.Table}
	long := Text{Text: "first line\nsecond line\nthird", Spans: []storage.Span{first, second}}
	if got := long.Shorten(20); got.Text != "first line\n…" || !slices.Equal(got.Spans, []storage.Span{first}) {
		t.Errorf("got %q", got.Text)
	}
}

package watch

import (
	"testing"
	"time"

	"skyslate/bot/layout"
)

// checkFits fails if a text is wider or longer than a phone shows.
func checkFits(t *testing.T, text string) {
	t.Helper()
	if layout.Fit(text) != text {
		t.Errorf("too wide or too long:\n%s", text)
	}
}

func utc(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t.UTC()
}

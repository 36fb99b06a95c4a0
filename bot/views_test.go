package bot

import (
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// Each reason not to predict a bird is told apart; another error is not for the
// operator.
func TestRefusedView(t *testing.T) {
	got := shown.Refused([]error{
		&sky.NoElementsError{Bird: "OCHRE-1"},
		&sky.StaleError{Bird: "OCHRE-2", Age: 34 * tx.Day, Max: predict.MaxAge},
		&sky.StaleError{Bird: "SIENNA", Age: 31 * tx.Day, Max: predict.MaxAge},
		&predict.Refusal{Name: "UMBER-A", Reason: predict.LowPerigee, Detail: "120 km up"},
		errors.New("disk full"),
	})
	want := say.Refused{
		NoElements: []string{"OCHRE-1"}, Old: []string{"OCHRE-2", "SIENNA"}, Unfit: []string{"UMBER-A"},
		Age: 34 * tx.Day, Max: predict.MaxAge, Detail: "120 km up",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// What is stored as a word is the word that package say knows, and every doubt of
// ours has a sentence.
func TestWordsOfViews(t *testing.T) {
	for _, word := range []struct{ stored, shown string }{
		{string(storage.Certain), string(say.Certain)},
		{string(storage.Incomplete), string(say.Incomplete)},
		{string(storage.Doubtful), string(say.Doubtful)},
		{string(storage.Heard), string(say.Heard)},
		{string(storage.Dropped), string(say.Dropped)},
		{string(storage.FromTyped), string(say.FromTyped)},
		{string(storage.FromRecording), string(say.FromRecording)},
		{string(storage.FromPass), string(say.FromPass)},
		{contact.WhyPass, say.WhyPass},
		{contact.WhyTime, say.WhyTime},
		{contact.WhyGrid, say.WhyGrid},
		{contact.WhySlate, say.WhySlate},
	} {
		if word.stored != word.shown {
			t.Errorf("%q is stored, %q shown", word.stored, word.shown)
		}
	}
}

// In a list, who gave the same grids earlier on a pass is marked.
func TestContactViewsMarkRepeats(t *testing.T) {
	all := contacts(t, "OX9QZT JO33", "DI4ZAB JO43", "OX9QZT JO33", "OX9QZT JO43")
	all[1].State = storage.Doubtful
	all = append(all, all[1], all[0])
	all[5].Pass = "another"
	var again []int
	for i, view := range shown.Contacts(all) {
		if view.Again {
			again = append(again, i)
		}
	}
	if diff := cmp.Diff([]int{2}, again); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// contacts are certain ones on one pass, a call and a grid each.
func contacts(t *testing.T, lines ...string) []storage.Contact {
	t.Helper()
	var all []storage.Contact
	for i, line := range lines {
		all = append(all, storage.Contact{
			ID: uint64(i + 1), State: storage.Certain, Pass: "pass", Time: utc("2026-09-01T12:00:00Z").Add(time.Duration(i) * time.Minute),
			Call: parse.MustParseCallsign(line[:6]), Grids: placeAt(line[7:]).Grids,
		})
	}
	return all
}

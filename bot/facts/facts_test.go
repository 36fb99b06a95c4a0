package facts

import (
	"slices"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict/predicttest"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// What was asked once is answered the same from then on, whatever comes into the log:
// only a sitting that asks anew learns of it. All calls are invented.
func TestAskedOnce(t *testing.T) {
	store := storagetest.Open(t)
	now := time.Date(2026, 9, 1, 12, 0, 0, 0, time.UTC)
	call, grid := parse.MustParseCallsign("DI4ZAB"), parse.MustParseGrid("JO44")
	skies := sky.NewSkies(sky.New(predicttest.Birds(), predicttest.Sets(t)), nil)

	type answers struct {
		worked    []parse.Grid
		confirmed bool
		endings   []parse.Callsign
		heads     []parse.Callsign
	}
	ask := func(s *storage.Sitting) (a answers) {
		err := store.View(func(v *storage.View) error {
			f := Of(tx.New(v, event.Event{Operator: "7", At: now}, skies), s, parse.Read)
			a = answers{f.Worked(call), f.Confirmed(call), f.Endings("ZAB"), f.Heads("DI4")}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	commit := func(event string, ch storage.Changes) {
		if err := store.Commit(event, now, ch); err != nil {
			t.Fatal(err)
		}
	}
	commit("joins", storage.Changes{Operator: &storage.Operator{ID: "7", Joined: now}})
	before, after := storage.Sitting{Operator: "7", ID: 1, Began: now, Last: now}, storage.Sitting{Operator: "7", ID: 2, Began: now, Last: now}
	if a := ask(&before); len(a.worked) > 0 || a.confirmed || len(a.endings) > 0 || len(a.heads) > 0 {
		t.Errorf("of an empty log: %+v", a)
	}
	commit("works", storage.Changes{Contacts: []storage.Contact{{
		Operator: "7", ID: 1, Version: 1, Made: now, Time: now, State: storage.Certain, Call: call, Grids: []parse.Grid{grid},
	}}})
	if a := ask(&before); len(a.worked) > 0 || a.confirmed || len(a.endings) > 0 || len(a.heads) > 0 {
		t.Errorf("what was asked of the empty log is answered anew: %+v", a)
	}
	calls := []parse.Callsign{call}
	if a := ask(&after); !slices.Equal(a.worked, []parse.Grid{grid}) || !a.confirmed || !slices.Equal(a.endings, calls) || !slices.Equal(a.heads, calls) {
		t.Errorf("a sitting that asks now: %+v", a)
	}
}

// Whether a bird can be predicted is no other answer once elements come: lines under its name
// stay where they were put.
func TestPredictedOnce(t *testing.T) {
	store := storagetest.Open(t)
	now := time.Date(2026, 9, 1, 12, 0, 0, 0, time.UTC)
	bird := predicttest.Birds()[0]
	ask := func(s *storage.Sitting, skies *sky.Skies) (is bool) {
		err := store.View(func(v *storage.View) error {
			is = Of(tx.New(v, event.Event{Operator: "7", At: now}, skies), s, parse.Read).Predicted(bird)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return is
	}
	without, with := sky.NewSkies(sky.New(predicttest.Birds(), nil), nil), sky.NewSkies(sky.New(predicttest.Birds(), predicttest.Sets(t)), nil)
	before, after := storage.Sitting{Operator: "7", ID: 1, Began: now, Last: now}, storage.Sitting{Operator: "7", ID: 2, Began: now, Last: now}
	if ask(&before, without) || ask(&before, with) || !ask(&after, with) || !ask(&after, without) {
		t.Error("what was asked first is answered anew")
	}
}

package storage_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/parse"
	"skyslate/storage"
)

// foundIn are the contacts of those who compare that name a call, as the index has them
// and as a search through all logs does.
func foundIn(v *storage.View, call string, since, until time.Time) (indexed, searched []string, err error) {
	err = v.VisitNaming(call, since, until, func(c storage.Contact) bool {
		indexed = append(indexed, fmt.Sprint(c.Operator, c.ID, c.Version))
		return true
	})
	ops, _ := v.Operators()
	for _, o := range ops {
		all, _ := v.Contacts(o.ID, since, until)
		for _, c := range all {
			if o.Agreeing.Shares(c) && c.Call.Base() == call {
				searched = append(searched, fmt.Sprint(c.Operator, c.ID, c.Version))
			}
		}
	}
	slices.Sort(indexed)
	slices.Sort(searched)
	return indexed, searched, err
}

// Whatever is logged, changed, switched on and off, forgotten and restored: the index has
// the contacts that a search would find, and the store verifies.
func TestContactsAreFoundByWhomTheyName(t *testing.T) {
	calls := []string{"OX9QZU", "OX9QZU/P", "HX7KZQ"}
	rapid.Check(t, func(r *rapid.T) {
		dir, err := os.MkdirTemp(t.TempDir(), "named")
		noError(t, err)
		s := open(t, dir)
		defer func() {
			noError(t, s.Close())
			_, err := storage.Verify(dir)
			noError(t, err)
		}()
		known := map[storage.OperatorID]*storage.Operator{}
		versions := map[string]int{}
		now := t0
		for n := range rapid.IntRange(1, 14).Draw(r, "steps") {
			id := rapid.SampledFrom([]storage.OperatorID{op, other}).Draw(r, "operator")
			now = now.Add(time.Minute)
			o := known[id]
			if o == nil {
				o = operator(id)
				o.Joined = now
			}
			o.Heard = now
			c := storage.Changes{Operator: o}
			switch rapid.SampledFrom([]string{"log", "log", "log", "log", "log", "log", "log", "on", "on", "off", "forget", "restore"}).Draw(r, "step") {
			case "log":
				number := uint64(rapid.IntRange(1, 3).Draw(r, "number"))
				key := fmt.Sprint(id, number)
				versions[key]++
				logged := contact(id, number, versions[key], rapid.SampledFrom(calls).Draw(r, "call"))
				logged.Bird.Catalog = 99001
				logged.Time = t0.Add(time.Duration(rapid.IntRange(0, 14).Draw(r, "at")) * time.Minute)
				logged.State = rapid.SampledFrom([]storage.State{storage.Certain, storage.Certain, storage.Doubtful}).Draw(r, "state")
				c.Contacts = []storage.Contact{logged}
			case "on":
				o.Agreeing = storage.Agreeing{
					Call:  parse.MustParseCallsign(rapid.SampledFrom([]string{"OX9QZT", "OX9QZT/P", "HX7ABC"}).Draw(r, "own")),
					Since: t0.Add(time.Duration(rapid.IntRange(0, 14).Draw(r, "since")) * time.Minute),
				}
			case "off":
				o.Agreeing = storage.Agreeing{}
			case "forget":
				_, err := s.Forget(id, now, nil)
				noError(t, err)
				delete(known, id)
				for number := range uint64(4) {
					delete(versions, fmt.Sprint(id, number))
				}
				continue
			case "restore": // from the journal alone
				noError(t, s.Close())
				noError(t, os.Remove(filepath.Join(dir, "skyslate.db")))
				s = open(t, dir)
				s.Notices()
			}
			known[id] = o
			noError(t, s.Commit(fmt.Sprint("step", n), now, c))
			for _, call := range []string{"OX9QZU", "HX7KZQ"} {
				view(t, s, func(v *storage.View) error {
					indexed, searched, err := foundIn(v, call, t0.Add(2*time.Minute), t0.Add(12*time.Minute))
					if !slices.Equal(indexed, searched) {
						r.Fatalf("indexed %v, searched %v", indexed, searched)
					}
					return err
				})
			}
		}
	})
}

func TestCallersAreThoseSwitchedOn(t *testing.T) {
	s := open(t, t.TempDir())
	defer s.Close()
	o := operator(op)
	o.Agreeing = storage.Agreeing{Call: mine, Since: t0}
	commit(t, s, "on", storage.Changes{Operator: o})
	commit(t, s, "not on", storage.Changes{Operator: operator(other)})
	near := func(call string) (ids []storage.OperatorID) {
		view(t, s, func(v *storage.View) error {
			ids = append(v.CallersNear(call), v.CallersOf(call)...)
			return nil
		})
		return ids
	}
	same(t, "by call", near("OX9QZT"), []storage.OperatorID{op, op})
	same(t, "two off", near("XO9QZ"), []storage.OperatorID{op})
	same(t, "three off", near("OX9"), []storage.OperatorID(nil))
	o.Agreeing = storage.Agreeing{}
	commit(t, s, "off", storage.Changes{Operator: o})
	same(t, "off", near("OX9QZT"), []storage.OperatorID(nil))
}

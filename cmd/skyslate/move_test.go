package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"

	gocmp "github.com/google/go-cmp/cmp"

	"skyslate/storage"
)

// lived is what an operator does before they move: settings, birds of their own, a pass
// worked, of which a file goes out before a contact is corrected and another comes in.
const lived = `/radio step 12.5
/wanted JO44 IP62
/remind mon-fri after 9
/remind evening 21
/horizon 10, 270-330 25
/birds WICKET-1 tone 67
/birds HAYLOFT-2 off
~ 13m
hx7abc jo33
di4zab jo43
9b3tux
~ 20m
/adif
~ 1m
1 was jo34
ox7wxy jo45 10:46
/sked OX9QZT JO43 tomorrow
/outing IP73 24 may 9-15
i am in jo32 now
`

// asked has the same answers before and after. The corrected contact and the late one go
// out in the file, and nothing else.
const asked = `/remind
/wanted
/radio
/horizon
/birds WICKET-1
/birds
/sked
/log
/passes
/day
/at home
/adif
/adif
`

// Whoever moves from one messaging app to the other has everything there, and gets the
// same answers; what they are exported as there is what they were here.
func TestMovesToAnotherApp(t *testing.T) {
	for _, move := range []struct {
		name     string
		from, to func(*testing.T) handset
	}{{"to Matrix", newOnTelegram, newOnMatrix}, {"to Telegram", newOnMatrix, newOnTelegram}} {
		t.Run(move.name, func(t *testing.T) {
			dir, other := filepath.Join(t.TempDir(), "from"), filepath.Join(t.TempDir(), "to")
			synctest.Test(t, func(t *testing.T) {
				before := newStage(t, dir, move.from(t))
				before.follows(lived)
				document := exported(t, dir, before.operator())
				after := newStage(t, other, move.to(t))
				after.clock = before.clock
				imported(t, document, other, after.operator())
				if d := gocmp.Diff(document, exported(t, other, after.operator())); d != "" {
					t.Errorf("it is another document there: %s", d)
				}
				if d := gocmp.Diff(before.answers(asked), after.answers(asked)); d != "" {
					t.Errorf("the answers are others (-before +after):\n%s", d)
				}
			})
		})
	}
}

// follows does what the lines of a script say, on a bot that is started for it.
func (s *stage) follows(script string) {
	s.t.Helper()
	if !s.open(strings.Fields(rehearsing)) {
		s.t.Fatal("it does not start")
	}
	defer s.close()
	for line := range strings.Lines(script) {
		s.follow(strings.TrimSuffix(line, "\n"))
	}
}

// answers are what the bot does about a script, whichever messages it answers, and in
// whichever second it makes a file.
func (s *stage) answers(script string) []deed {
	known := len(s.deeds(s.numbers()))
	s.follows(script)
	all := s.deeds(s.numbers())[known:]
	for i := range all {
		all[i].To, all[i].File = "", madeAt.ReplaceAllString(all[i].File, "$1")
	}
	return all
}

// exported is the document of an operator whole.
func exported(t *testing.T, dir string, op storage.OperatorID) string {
	t.Helper()
	var out, errOut bytes.Buffer
	if status := run([]string{"export", "-whole", "-data", dir, "-operator", string(op)}, stdio{nil, &out, &errOut}); status != 0 {
		t.Fatalf("export: status %d: %s", status, &errOut)
	}
	return out.String()
}

// imported imports such a document into a store that is made for it.
func imported(t *testing.T, document, dir string, op storage.OperatorID) {
	t.Helper()
	store, err := storage.Open(dir)
	if err == nil {
		err = store.Close()
	}
	file := filepath.Join(t.TempDir(), "operator.jsonl")
	if err == nil {
		err = os.WriteFile(file, []byte(document), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	var out, errOut bytes.Buffer
	if status := run([]string{"import", "-data", dir, "-operator", string(op), file}, stdio{nil, &out, &errOut}); status != 0 {
		t.Fatalf("import: status %d: %s", status, &errOut)
	}
}

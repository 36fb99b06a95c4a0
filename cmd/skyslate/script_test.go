package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"skyslate/parse"
	"skyslate/storage"
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(damagedVar); dir != "" {
		os.Exit(openDamaged(dir))
	}
	testscript.Main(tests{m}, map[string]func(){"skyslate": main})
}

// tests are all tests, and remove what was built for them.
type tests struct{ *testing.M }

func (all tests) Run() int {
	code := all.M.Run()
	_ = os.RemoveAll(builtIn) // a rest in a temporary directory harms nobody
	return code
}

// builtIn is where the program is built that tests run.
var builtIn = filepath.Join(os.TempDir(), fmt.Sprint("skyslate-built-", os.Getpid()))

// TestScripts runs the program as a user does, one script for each thing to show.
// Beside testscript's own commands there are
//
//	elements FILE    puts the invented element sets of the reference tables there
//	store DIR        makes a store of two operators, one with an invented log
//	damage DIR       changes a letter in the middle of that store's log
//	hold DIR         keeps that store open until the script ends
//	status N COMMAND runs it and expects that exit status
//	long FILE        writes a line of 1.5 MB between two short ones
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"elements": func(ts *testscript.TestScript, _ bool, args []string) {
				sets, err := os.ReadFile(reference + "sats.tle")
				ts.Check(err)
				ts.Check(os.WriteFile(ts.MkAbs(args[0]), sets, 0o600))
			},
			"store": func(ts *testscript.TestScript, _ bool, args []string) {
				ts.Check(makeStore(ts.MkAbs(args[0])))
			},
			"damage": func(ts *testscript.TestScript, _ bool, args []string) {
				ts.Check(damage(filepath.Join(ts.MkAbs(args[0]), "skyslate.db")))
			},
			"hold": func(ts *testscript.TestScript, _ bool, args []string) {
				s, err := storage.Open(ts.MkAbs(args[0]))
				ts.Check(err)
				ts.Defer(func() { s.Close() })
			},
			"status": func(ts *testscript.TestScript, _ bool, args []string) {
				err := ts.Exec(args[1], args[2:]...)
				got := 0
				if exit := (*exec.ExitError)(nil); errors.As(err, &exit) {
					got, err = exit.ExitCode(), nil
				}
				ts.Check(err)
				if fmt.Sprint(got) != args[0] {
					ts.Fatalf("exit status %d, want %s", got, args[0])
				}
			},
			"long": func(ts *testscript.TestScript, _ bool, args []string) {
				line := fmt.Sprintf("short\n%01500000d\nshort\n", 0)
				ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(line), 0o600))
			},
		},
	})
}

// makeStore makes a store with an invented log: on one pass a certain, an
// incomplete and a doubtful contact, a certain one a day later from another
// place, and an operator who has not said anything yet.
func makeStore(dir string) error {
	s, err := storage.Open(dir)
	if err != nil {
		return err
	}
	at := time.Date(2026, 9, 1, 11, 40, 0, 0, time.UTC)
	own := parse.MustParseCallsign("OX9QZT/P")
	pass := storage.Pass{
		ID: "20260901T113647Z-99101", Operator: "local",
		Bird: storage.BirdRef{Name: "OCHRE-1", LogName: "OCHRE-1", Catalog: 99101},
		AOS:  at.Add(-3 * time.Minute), TCA: at.Add(2 * time.Minute), LOS: at.Add(7 * time.Minute),
	}
	contact := func(id uint64, after time.Duration, state storage.State, call, grid, from string) storage.Contact {
		c := storage.Contact{
			Operator: "local", ID: id, Version: 1, Made: at.Add(after), State: state,
			Call: parse.MustParseCallsign(call), Time: at.Add(after), TimeSource: storage.FromMessage,
			Pass: pass.ID, Bird: pass.Bird, UplinkMHz: 145.99, DownlinkMHz: 436.795, Mode: "FM",
			OwnCall: own, OwnGrids: []parse.Grid{parse.MustParseGrid(from)},
		}
		if grid != "" {
			c.Grids = []parse.Grid{parse.MustParseGrid(grid)}
		}
		return c
	}
	next := contact(4, 24*time.Hour, storage.Certain, "VJ2FQXZ", "JO44", "JO63")
	next.Pass = ""
	err = s.Commit("a log", at, storage.Changes{
		Operator: &storage.Operator{ID: "local", Call: own, Joined: at},
		Passes:   []storage.Pass{pass},
		Contacts: []storage.Contact{
			contact(1, 0, storage.Certain, "XG1VV", "JO33", "JO62qm"),
			contact(2, time.Minute, storage.Incomplete, "W4Z", "", "JO62qm"),
			contact(3, 2*time.Minute, storage.Doubtful, "OX9QY", "JO44", "JO62qm"),
			next,
		},
	})
	if err != nil {
		return err
	}
	err = s.Commit("a newcomer", at, storage.Changes{Operator: &storage.Operator{ID: "4711", Joined: at}})
	if err != nil {
		return err
	}
	if _, err := s.BackupTo("", at, 3); err != nil {
		return err
	}
	return s.Close()
}

// damage makes another call sign of one in a database, as a failing card might.
func damage(path string) error {
	db, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	if !bytes.Contains(db, []byte("XG1VV")) {
		return errors.New("the contact to damage is not there")
	}
	return os.WriteFile(path, bytes.ReplaceAll(db, []byte("XG1VV"), []byte("XG1VW")), 0o600)
}

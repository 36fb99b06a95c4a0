package storage_test

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
)

// This test binary, run again as a child, works in the directory that dirVar
// names, countVar times, instead of testing.
const (
	dirVar   = "SKYSLATE_TEST_CHILD_DIR"
	countVar = "SKYSLATE_TEST_CHILD_COUNT"
)

func TestMain(m *testing.M) {
	dir := os.Getenv(dirVar)
	if dir == "" {
		os.Exit(m.Run())
	}
	count, _ := strconv.Atoi(os.Getenv(countVar))
	if err := work(dir, uint64(count)); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// work accepts and commits one contact after the other and says the number of
// each that is acknowledged on standard output, and trouble on standard error.
func work(dir string, count uint64) error {
	s, err := storage.Open(dir)
	if err != nil {
		return err
	}
	var next uint64
	err = s.View(func(v *storage.View) error {
		next = v.NextContact(op)
		return nil
	})
	if err != nil {
		return err
	}
	for n := next; n < next+count; n++ {
		if err := stubborn(func() error { return workOne(s, n) }); err != nil {
			return err
		}
		fmt.Println(n)
		for _, notice := range s.Notices() {
			fmt.Fprintln(os.Stderr, notice)
		}
	}
	return s.Close()
}

// stubborn tries again, as a transport and a worker would.
func stubborn(try func() error) (err error) {
	for range 5 {
		if err = try(); err == nil {
			return nil
		}
		fmt.Fprintln(os.Stderr, "trying again:", err)
	}
	return err
}

func workOne(s *storage.Store, n uint64) error {
	event := fmt.Sprint("e", n)
	if err := s.Accept(nil, storage.Raw{ID: event, At: t0}); err != nil {
		return err
	}
	c := contact(op, n, 1, "OX9QZU")
	c.Note = strings.Repeat("x", int(n%7)*100)
	changes := storage.Changes{
		Operator: &storage.Operator{ID: op, Joined: t0, Call: mine, Heard: c.Time},
		Contacts: []storage.Contact{c},
		Posts:    []storage.Post{send("ack/"+event, "logged")},
	}
	if err := s.Commit(event, t0, changes); err != nil {
		return err
	}
	if n%50 == 0 {
		if _, err := s.BackupTo("", c.Time, 2); err != nil {
			return err
		}
	}
	return s.Settle("ack/"+event, fmt.Sprint(n), c.Time)
}

// child starts a child on dir and returns the last number that it acknowledged
// and the trouble it had. With kill set it is ended by SIGKILL after so many
// acknowledgements; a tool is a command to run it under.
func child(t *testing.T, dir string, count, kill int, tool ...string) (acknowledged uint64, trouble string) {
	t.Helper()
	args := append(tool, os.Args[0])
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Env = append(os.Environ(), dirVar+"="+dir, countVar+"="+strconv.Itoa(count))
	var stderr strings.Builder
	cmd.Stderr = &stderr
	out, err := cmd.StdoutPipe()
	noError(t, err)
	noError(t, cmd.Start())
	lines := bufio.NewScanner(out)
	for n := 1; lines.Scan(); n++ {
		if _, err := fmt.Sscan(lines.Text(), &acknowledged); err != nil {
			t.Errorf("the child said %q", lines.Text())
		}
		if n == kill {
			noError(t, cmd.Process.Kill()) // what it said up to now is still read
		}
	}
	_ = cmd.Wait() // it was killed, or gave up: the directory tells
	return acknowledged, stderr.String()
}

// allThere checks that every acknowledged contact is there once, in order, and
// at most the one after it.
func allThere(t *testing.T, dir string, acknowledged uint64) {
	t.Helper()
	s := open(t, dir)
	defer func() {
		noError(t, s.Close())
		_, err := storage.Verify(dir)
		noError(t, err)
	}()
	view(t, s, func(v *storage.View) error {
		next := v.NextContact(op)
		if next != acknowledged+1 && next != acknowledged+2 {
			t.Errorf("%d acknowledged, the next contact is %d", acknowledged, next)
		}
		for n := uint64(1); n < next; n++ {
			h, err := v.History(op, n)
			noError(t, err)
			if len(h) != 1 {
				t.Errorf("contact %d has %d versions", n, len(h))
			}
		}
		return nil
	})
	if head, ok, err := s.Oldest(); err != nil || (ok && head.ID != fmt.Sprint("e", acknowledged+1)) {
		t.Errorf("inbox: %v %v %v", head.ID, ok, err)
	}
	_, err := s.Owed(t0.Add(time.Hour))
	noError(t, err)
}

func TestKilledInMidCommit(t *testing.T) {
	dir := t.TempDir()
	random := rand.New(rand.NewPCG(1, 2))
	var acknowledged uint64
	for range 12 {
		n, said := child(t, dir, 400, 1+random.IntN(60))
		if n <= acknowledged {
			t.Fatalf("the child did nothing: %s", said)
		}
		acknowledged = n
		allThere(t, dir, acknowledged)
	}
	t.Logf("%d acknowledged over 12 kills", acknowledged)
}

// TestFailingSystemCalls lets single calls of the store fail, one after the
// other. What was acknowledged must be there.
func TestFailingSystemCalls(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("strace is not installed: it makes the system calls fail")
	}
	if testing.Short() {
		t.Skip("starts many processes")
	}
	for _, c := range []struct {
		calls, errno string
		nth          []int
	}{
		{"fdatasync", "EIO", []int{3, 8, 9, 10, 11, 30}},
		{"fsync", "EIO", []int{2, 6, 7, 8}},
		{"pwrite64", "EIO", []int{5, 20, 21, 22, 23, 24, 25}},
		{"pwrite64", "ENOSPC", []int{5, 20, 21, 22, 23, 24, 25}},
		{"ftruncate", "ENOSPC", []int{2, 3, 4, 5}},
		{"renameat", "EIO", []int{1}},
	} {
		for _, nth := range c.nth {
			t.Run(fmt.Sprintf("%s %s %d", c.calls, c.errno, nth), func(t *testing.T) {
				dir := t.TempDir()
				inject := fmt.Sprintf("inject=%s:error=%s:when=%d..%d", c.calls, c.errno, nth, nth+1)
				n, trouble := child(t, dir, 60, 0, strace, "-f", "-o", "/dev/null", "-e", "trace="+c.calls, "-e", inject)
				if trouble == "" {
					t.Error("the child did not notice")
				}
				if c.errno == "ENOSPC" && c.calls == "pwrite64" && !strings.Contains(trouble, storage.ErrNoSpace.Error()) {
					t.Error("it does not say that there is no space")
				}
				t.Logf("%d acknowledged; %s", n, trouble)
				allThere(t, dir, n)
			})
		}
	}
}

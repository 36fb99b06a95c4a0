//go:build linux

package main

import (
	"context"
	"errors"
	"fmt"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"skyslate/bot/telegram/apitest"
)

// onSmallDisk runs a program with a disk of its own, in a namespace of its own,
// and copies what is on the disk in the end: $0 is where the disk is mounted,
// $1 where its content is copied to.
const onSmallDisk = `mount -t tmpfs -o size="$SIZE" none "$0" || exit 77
copy=$1
shift
"$@" &
pid=$!
trap 'kill -TERM $pid' TERM
while kill -0 $pid 2>/dev/null; do wait $pid; status=$?; done
rm -f "$0/ballast"
cp -r "$0/." "$copy"
exit $status
`

// mostThatFit is how many messages find room at most in the pages that the database
// has free when the disk is full.
const mostThatFit = 100

// TestServeOnAFullDisk: what finds no more room on a full disk is not taken in, so
// that the service keeps it; the operator is told, once; and all that was sent is
// logged as soon as there is room, once.
func TestServeOnAFullDisk(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for pauses of the program")
	}
	p := buildProgram(t)
	server := apitest.New(serveToken)
	web := httptest.NewServer(server)
	defer web.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 4*patience)
	defer cancel()
	now := time.Now()
	bird := upNow(t, now)
	disk, copied := t.TempDir(), t.TempDir()
	if out, err := isolated(exec.Command("sh", "-c", `mount -t tmpfs none "$0"`, disk)).CombinedOutput(); err != nil {
		t.Skipf("no disk can be mounted for a test here: %v\n%s", err, out)
	}

	first := filepath.Join(t.TempDir(), "data") // the operator is made outside and moved in
	seatOthers(t, server, first, now)
	setUpAt(t, first, bird.site, now)
	phone := server.Phone(7, "Inga")
	phone.Known()
	p.wrap = func(cmd *exec.Cmd) *exec.Cmd {
		script := `cp -r "$DATA" "$0/data" && exec "$@"`
		inner := append([]string{"sh", "-c", script, disk}, cmd.Args...)
		return isolated(exec.Command("sh", append([]string{"-c", onSmallDisk, disk, copied}, inner...)...))
	}
	t.Setenv("DATA", first)
	t.Setenv("SIZE", fmt.Sprint(3<<20+*besideOthers*60_000)) // bytes
	s := p.serve(t, web.URL, "-data", filepath.Join(disk, "data"), "-open", "-elements", bird.file)
	c := talk{t, ctx, phone, s}
	c.says("ISS") // the reminder: the pass is known
	c.answer(phone.Say(messageText(0, bird)), "1  "+killedCall(0))

	ballast := filepath.Join("/proc", strconv.Itoa(s.cmd.Process.Pid), "root", disk, "ballast")
	fillDisk(t, ballast)
	var sent []int64
	for full := false; !full; {
		n := len(sent) + 1
		if n > mostThatFit {
			t.Fatalf("%d messages are kept on a full disk", n)
		}
		id := phone.Say(killedCall(n) + " " + bird.near(n).String())
		sent = append(sent, id)
		c.wait("an answer, or that the disk is full", func(m apitest.Message) bool {
			full = full || strings.Contains(m.Text, "full")
			return full || answersIn([]apitest.Message{m})[id] > 0
		})
	}
	n := len(sent) + 1 // one more, that finds the disk as full
	sent = append(sent, phone.Say(killedCall(n)+" "+bird.near(n).String()))
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	for n, id := range sent {
		c.answer(id, killedCall(n+1))
	}
	told := 0
	for _, m := range phone.Chat() {
		if !m.Mine() && strings.Contains(m.Text, "disk") {
			told++
		}
	}
	if told != 1 {
		t.Errorf("told %d times that the disk is full", told)
	}
	s.terminate(t)

	data := filepath.Join(copied, "data")
	out, err := exec.Command(p.path, "export", "-data", data, "-operator", "7").Output()
	if err != nil || strings.Count(strings.ToUpper(string(out)), "<EOR>") != 1+len(sent) {
		t.Errorf("export: %v\n%s", err, out)
	}
	if out, err := exec.Command(p.path, "verify", "-data", data).CombinedOutput(); err != nil {
		t.Errorf("verify: %v\n%s", err, out)
	}
}

// isolated gives a command mounts of its own.
func isolated(cmd *exec.Cmd) *exec.Cmd {
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}},
	}
	return cmd
}

// fillDisk writes until there is no room.
func fillDisk(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for size := 1 << 16; size > 0; {
		if _, err := f.Write(make([]byte, size)); errors.Is(err, syscall.ENOSPC) {
			size /= 16
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

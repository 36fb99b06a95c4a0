package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// older is the data directory of the program before contacts were derived from
// evidence, with what that program exported of it.
const older = "testdata/schema2"

func olderData(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{"skyslate.db", "contacts.journal"} {
		body, err := os.ReadFile(filepath.Join(older, name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), body, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// runOn runs the program and returns what it wrote.
func runOn(t *testing.T, in string, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(args, stdio{in: strings.NewReader(in), out: &out, err: &errs}); status != 0 {
		t.Fatalf("%s: exit %d, %s", args, status, errs.String())
	}
	return out.String()
}

// What an older program logged is exported as it was, and verifies.
func TestOlderStoreExportsTheSame(t *testing.T) {
	dir := olderData(t)
	want, err := os.ReadFile(filepath.Join(older, "export.adi"))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for line := range strings.Lines(runOn(t, "", "export", "-data", dir, "-operator", "local")) {
		if !strings.HasPrefix(line, "<CREATED_TIMESTAMP") {
			got = append(got, line)
		}
	}
	if all := strings.Join(got, ""); all != string(want) {
		t.Errorf("got\n%s\nwant\n%s", all, want)
	}
	if out := runOn(t, "", "verify", "-data", dir); !strings.Contains(out, "7 contacts") {
		t.Errorf("verify says %s", out)
	}
}

// Contacts from before are answered, edited and taken back as any others, and what
// was handed over then is known.
func TestOlderStoreGoesOn(t *testing.T) {
	out := runOn(t, strings.Join([]string{
		"~ reply m1 JO44", "~ edit m9 fine weather", "~ edit m8 OX7ED JO34", "undo", "/log all", "/adif", "",
	}, "\n"), "chat", "-rehearse", "-data", olderData(t))
	for _, want := range []string{
		"DI4ZAB JO44", "Taken back: change to OX7ED JO34", "10:45 OX7ED JO33", "WICKET-1 10:42: 6 contacts",
		"Handed over before", "- DI4ZAB JO43",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is missing in\n%s", want, out)
		}
	}
}

package terminal

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
)

func TestShow(t *testing.T) {
	at := moment{time.Date(2027, 5, 23, 10, 32, 0, 1_000_000, time.UTC)}
	for _, tt := range []struct {
		name        string
		r           record
		plain, json string
	}{
		{
			"a reminder",
			record{At: at, Post: new("b1"), Op: storage.Send, Text: "WICKET-1\n\nin 10 min", Buttons: []string{"Skip", "Later"}},
			"2027-05-23 UTC\n10:32:00 b1 (rings)\n    WICKET-1\n\n    in 10 min\n    [1 Skip] [2 Later]\n",
			`{"at":"2027-05-23T10:32:00.001Z","post":"b1","op":"send","to":null,"text":"WICKET-1\n\nin 10 min","silent":false,"buttons":["Skip","Later"],"path":null}`,
		},
		{
			"an answer",
			record{At: at, Post: new("b2"), Op: storage.Send, To: new("m3"), Text: "1 <HX7KZQ> & co", Silent: true, Buttons: []string{}},
			"2027-05-23 UTC\n10:32:00 b2 to m3\n    1 <HX7KZQ> & co\n",
			`{"at":"2027-05-23T10:32:00.001Z","post":"b2","op":"send","to":"m3","text":"1 <HX7KZQ> & co","silent":true,"buttons":[],"path":null}`,
		},
		{
			"an edit",
			record{At: at, Post: new("b2"), Op: storage.Edit, To: new("b2"), Text: "2", Silent: true, Buttons: []string{}},
			"2027-05-23 UTC\n10:32:00 b2 now reads\n    2\n",
			`{"at":"2027-05-23T10:32:00.001Z","post":"b2","op":"edit","to":"b2","text":"2","silent":true,"buttons":[],"path":null}`,
		},
		{
			"a reaction",
			record{At: at, Op: storage.React, To: new("m3"), Text: "✍", Silent: true, Buttons: []string{}},
			"2027-05-23 UTC\n10:32:00 bot marks m3: ✍\n",
			`{"at":"2027-05-23T10:32:00.001Z","post":null,"op":"react","to":"m3","text":"✍","silent":true,"buttons":[],"path":null}`,
		},
		{
			"a post to another operator",
			record{At: at, Post: new("b2"), Op: storage.Send, To: new("m3"), Text: "1", Silent: true, Buttons: []string{}, Operator: "anna"},
			"2027-05-23 UTC\n10:32:00 anna < b2 to m3\n    1\n",
			`{"at":"2027-05-23T10:32:00.001Z","post":"b2","op":"send","to":"m3","text":"1","silent":true,"buttons":[],"path":null,"operator":"anna"}`,
		},
		{
			"a file",
			record{At: at, Post: new("b4"), Op: storage.File, To: new("m5"), Text: "3 contacts", Silent: true, Buttons: []string{}, Path: new("d/sent/x.adi")},
			"2027-05-23 UTC\n10:32:00 b4 to m5 file d/sent/x.adi\n    3 contacts\n",
			`{"at":"2027-05-23T10:32:00.001Z","post":"b4","op":"file","to":"m5","text":"3 contacts","silent":true,"buttons":[],"path":"d/sent/x.adi"}`,
		},
		{
			"a text that would act on the terminal",
			record{At: at, Post: new("b2"), Op: storage.Send, Text: "\x1b[2Jgone", Silent: true, Buttons: []string{}},
			"2027-05-23 UTC\n10:32:00 b2\n    \uFFFD[2Jgone\n",
			`{"at":"2027-05-23T10:32:00.001Z","post":"b2","op":"send","to":null,"text":"\u001b[2Jgone","silent":true,"buttons":[],"path":null}`,
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var plain, json strings.Builder
			if err := (&printer{out: &plain}).show(tt.r); err != nil {
				t.Fatal(err)
			}
			if err := (&printer{out: &json, json: true}).show(tt.r); err != nil {
				t.Fatal(err)
			}
			if plain.String() != tt.plain {
				t.Errorf("plain:\n%s\nwant\n%s", plain.String(), tt.plain)
			}
			if json.String() != tt.json+"\n" {
				t.Errorf("json:\n%s\nwant\n%s", json.String(), tt.json)
			}
		})
	}
}

func TestDateIsShownWhenItChanges(t *testing.T) {
	var b strings.Builder
	p := printer{out: &b}
	at := time.Date(2027, 5, 23, 23, 59, 30, 0, time.UTC)
	for _, at := range []time.Time{at, at.Add(20 * time.Second), at.Add(40 * time.Second)} {
		if err := p.echo(at, Operator, "", "~ 20s"); err != nil {
			t.Fatal(err)
		}
	}
	want := "2027-05-23 UTC\n23:59:30 ~ 20s\n23:59:50 ~ 20s\n2027-05-24 UTC\n00:00:10 ~ 20s\n"
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

func TestSafeName(t *testing.T) {
	for name, want := range map[string]string{
		"HX7KZQ_2027-05-23.adi":           "HX7KZQ_2027-05-23.adi",
		"../../etc/passwd":                "_.._etc_passwd",
		`..\up`:                           "_up",
		"/abs":                            "_abs",
		".hidden":                         "hidden",
		"VJ2/FLO p.adi":                   "VJ2_FLO_p.adi",
		"naïve\x00\n.adi":                 "na_ve__.adi",
		"":                                "file",
		"...":                             "file",
		strings.Repeat("x", 300):          strings.Repeat("x", 100),
		strings.Repeat("y", 300) + ".adi": strings.Repeat("y", 96) + ".adi",
	} {
		if got := safeName(name); got != want {
			t.Errorf("safeName(%q) = %q, want %q", name, got, want)
		}
	}
}

func TestWriteFileNeverOverwrites(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "sent")
	for i, want := range []string{"a.adi", "a-2.adi", "a-3.adi"} {
		path, err := writeFile(dir, "a.adi", []byte{byte('0' + i)})
		if err != nil {
			t.Fatal(err)
		}
		if filepath.Base(path) != want {
			t.Errorf("copy %d is %s, want %s", i+1, path, want)
		}
	}
	for i, name := range []string{"a.adi", "a-2.adi", "a-3.adi"} {
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || len(b) != 1 || b[0] != byte('0'+i) {
			t.Errorf("%s holds %q, %v", name, b, err)
		}
	}
	info, err := os.Stat(filepath.Join(dir, "a.adi"))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v: a log is its owner's", info.Mode(), err)
	}
}

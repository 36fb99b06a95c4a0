package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"skyslate/parse/adif"
)

// readings is what readers that are not ours made of the ADIF files in the
// conversations; its README says which they are and how it is made.
const readings = "../../testdata/authorities/adif-readers/readings.jsonl"

// outsideReading is what one reader made of one file.
type outsideReading struct {
	Conversation, File, By string
	Records                []map[string]string
	Error, Field           string
}

// What is known to differ between what stands in a file and what a reader says.
var (
	// tcadif writes the values of enumerations, and locators, in upper case.
	upperCased = map[string]bool{
		"BAND": true, "BAND_RX": true, "MODE": true, "PROP_MODE": true,
		"GRIDSQUARE": true, "MY_GRIDSQUARE": true, "VUCC_GRIDS": true, "MY_VUCC_GRIDS": true,
	}
	// tcadif leaves out the fields that the standard does not define.
	leftOut = regexp.MustCompile(`^APP_`)
)

// Every ADIF file that a conversation shows is taken by two outside readers, with
// the fields that our own reader finds.
func TestOutsideReadersAgree(t *testing.T) {
	said := outsideReadings(t)
	for name, body := range conversationLogs(t) {
		for _, by := range []string{"tcadif", "adif-parser-ts"} {
			r, ok := said[name+" "+by]
			if !ok {
				t.Errorf("%s: %s has not read it: run .ci/adif-readers -update", name, by)
				continue
			}
			delete(said, name+" "+by)
			compareReading(t, name, body, r)
		}
	}
	for name := range said {
		t.Errorf("%s is in no conversation any more: run .ci/adif-readers -update", name)
	}
}

func compareReading(t *testing.T, name string, body []byte, r outsideReading) {
	t.Helper()
	if r.Error != "" {
		t.Errorf("%s: %s refuses it: %s (%s)", name, r.By, r.Error, r.Field)
		return
	}
	ours := recordsIn(t, body)
	if len(ours) != len(r.Records) {
		t.Errorf("%s: %s finds %d records, we %d", name, r.By, len(r.Records), len(ours))
		return
	}
	for i, rec := range ours {
		theirs := map[string]string{}
		for field, value := range r.Records[i] {
			theirs[strings.ToUpper(field)] = value
		}
		for _, f := range rec {
			got, there := theirs[f.Name]
			delete(theirs, f.Name)
			strict := r.By == "tcadif"
			switch {
			case strict && leftOut.MatchString(f.Name) && !there:
			case strict && upperCased[f.Name] && got == strings.ToUpper(f.Value):
			case got != f.Value:
				t.Errorf("%s, record %d: %s reads %s as %q, want %q", name, i+1, r.By, f.Name, got, f.Value)
			}
		}
		for field, value := range theirs {
			t.Errorf("%s, record %d: %s finds %s %q, which isn't there", name, i+1, r.By, field, value)
		}
	}
}

// The bytes of every file are as the standard wants them (ADIF 3.1.7, IV.A): a
// header's text first, ASCII, one end mark for each record, each field once.
func TestLogsKeepToTheLetter(t *testing.T) {
	for name, body := range conversationLogs(t) {
		if body[0] == '<' || body[0] >= 0x80 {
			t.Errorf("%s begins with %q", name, body[0])
		}
		for i, c := range body {
			if c != '\r' && c != '\n' && (c < ' ' || c > '~') {
				t.Errorf("%s: byte %d is %#x", name, i, c)
				break
			}
		}
		records := recordsIn(t, body)
		if n := bytes.Count(body, []byte("<EOR>")); n != len(records) {
			t.Errorf("%s: %d end marks, %d records", name, n, len(records))
		}
		for i, rec := range records {
			seen := map[string]bool{}
			for _, f := range rec {
				if seen[f.Name] {
					t.Errorf("%s, record %d: %s twice", name, i+1, f.Name)
				}
				seen[f.Name] = true
			}
		}
	}
}

func recordsIn(t *testing.T, body []byte) (all []adif.Record) {
	t.Helper()
	r := adif.NewReader(bytes.NewReader(body))
	for {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, rec)
	}
}

func outsideReadings(t *testing.T) map[string]outsideReading {
	t.Helper()
	f, err := os.Open(readings)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	said := map[string]outsideReading{}
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<22)
	for lines.Scan() {
		var r outsideReading
		if err := json.Unmarshal(lines.Bytes(), &r); err != nil {
			t.Fatal(err)
		}
		said[r.Conversation+" "+r.File+" "+r.By] = r
	}
	if err := lines.Err(); err != nil || len(said) == 0 {
		t.Fatalf("no readings: %v", err)
	}
	return said
}

var sentFile = regexp.MustCompile(`(?m)^==> (.*?) <==\n`)

// conversationLogs returns the ADIF files that the conversations show, by
// conversation and name.
func conversationLogs(t *testing.T) map[string][]byte {
	t.Helper()
	logs := map[string][]byte{}
	for _, talk := range readConversations(t) {
		for _, part := range talk.Files {
			if part.Name == "want" {
				addLogs(logs, filepath.Base(talk.file), part.Data)
			}
		}
	}
	if len(logs) == 0 {
		t.Fatal("no conversation shows a log")
	}
	return logs
}

func addLogs(logs map[string][]byte, conversation string, want []byte) {
	heads := sentFile.FindAllSubmatchIndex(want, -1)
	for i, h := range heads {
		name, end := path.Base(string(want[h[2]:h[3]])), len(want)
		if i+1 < len(heads) {
			end = heads[i+1][0]
		}
		if strings.HasSuffix(name, ".adi") {
			logs[conversation+" "+name] = want[h[1]:end]
		}
	}
}

// The files of a person's day hold what the story says that was worked: in which
// file, when (UTC), whom, on which bird, from where to where, and how the time is
// known. The story stands at the head of the conversation.
func TestPersonsDayIsTold(t *testing.T) {
	const story = `
IP62 first 104400 DI4ZAB WICKET-1  JO43 message
IP62 first 104610 2Z0VEK WICKET-1  JO22 message
IP62 first 105230 9B3TUX HAYLOFT-2 IO85 recording
IP62 first 105305 3A0QQQ HAYLOFT-2 JN33 recording
IP72 first 122822 HX2MIP WICKET-1  JP52 pass
IP72 first 122822 DI4ZAB WICKET-1  JO43 pass
IP72 first 122822 2Z0VEK WICKET-1  JO23 pass
IP62 again 104610 2Z0VEL WICKET-1  JO22 message`
	names := map[string]string{
		"IP62 first": "HX7KZQ_2027-05-23_IP62.adi",
		"IP72 first": "HX7KZQ_2027-05-23_1228Z_WICKET-1_IP72.adi",
		"IP62 again": "HX7KZQ_2027-05-23_1046Z_WICKET-1_IP62.adi",
	}
	want := map[string][]string{}
	for line := range strings.Lines(strings.TrimSpace(story)) {
		w := strings.Fields(line)
		name := names[w[0]+" "+w[1]]
		want[name] = append(want[name], strings.Join(append(w[2:], w[0]), " "))
	}
	got := map[string][]string{}
	for name, body := range conversationLogs(t) {
		file, ours := strings.CutPrefix(name, "persons-day.txtar ")
		if !ours {
			continue
		}
		for _, rec := range recordsIn(t, body) {
			var values []string
			for _, field := range []string{"TIME_ON", "CALL", "SAT_NAME", "GRIDSQUARE", "APP_SKYSLATE_TIMESOURCE", "MY_GRIDSQUARE"} {
				v, _ := rec.Get(field)
				values = append(values, v)
			}
			got[file] = append(got[file], strings.Join(values, " "))
		}
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("the day (-story +files):\n%s", d)
	}
}

package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"github.com/rogpeppe/go-internal/txtar"

	"skyslate/bot/terminal"
	"skyslate/storage"
)

// theTerminalsOwn are conversations about the terminal itself, one whose messages come
// faster than the app lets its answers out, and one that goes on for weeks: to wait so long
// beat by beat takes half a minute.
var theTerminalsOwn = []string{"bad-line", "burst-names-bird", "elements-aging"}

// deed is one thing that the bot did, whatever the transport.
type deed struct {
	Op      string
	To      string // m3, b7
	Text    string
	Silent  bool
	Buttons []string
	File    string // its name and what is in it
}

// messagingApp is one on which the conversations are played, but for those that are
// others there.
type messagingApp struct {
	name   string
	phone  func(*testing.T) handset
	others []string

	all, paced, contacts atomic.Int64
}

// messagingApps are all of them. On Matrix a place that moves is shared anew each time,
// nothing tells a forwarded message from one's own, whoever is forgotten loses the room,
// and a file that nobody asked for is offered.
func messagingApps() []*messagingApp {
	return []*messagingApp{
		{name: "Telegram", phone: newOnTelegram},
		{name: "Matrix", phone: newOnMatrix, others: []string{
			"place", "place-border-crossed", "relayed", "relayed-list", "relayed-own", "set-up-as-typed",
			"outing-fresher", "outing-stays-armed", "pictures",
		}},
	}
}

// TestSameConversation plays the conversations of testdata/chat in the terminal and on
// each messaging app and compares the log and what the bot does: see [apart]. With
// -short it plays every twelfth.
func TestSameConversation(t *testing.T) {
	apps := messagingApps()
	t.Cleanup(func() {
		for _, app := range apps {
			all, paced, contacts := app.all.Load(), app.paced.Load(), app.contacts.Load()
			if all >= 20 && (paced > all/2 || contacts == 0) { // else some were chosen with -run
				t.Errorf("%s: of %d conversations %d are compared with what the app's pace explains; they have %d contacts",
					app.name, all, paced, contacts)
			}
		}
	})
	for i, talk := range readConversations(t) {
		name := talk.name()
		if slices.Contains(theTerminalsOwn, name) || severalPhones(talk.Archive) || testing.Short() && i%12 != 0 {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			ar := unpacked(t, talk.Archive)
			want := inTerminal(t, ar)
			if len(want.deeds) == 0 && name != "elements-damaged" {
				t.Error("nothing happens in this conversation")
			}
			for _, app := range apps {
				if !slices.Contains(app.others, name) {
					t.Run(app.name, func(t *testing.T) { app.play(t, ar, want) })
				}
			}
		})
	}
}

// TestSameConversationOfSeveral does the same with the conversations of several people,
// each on an app: two phones that write one log, and two logs that are compared, cross from
// one app to the other. With -short it plays every fourth.
func TestSameConversationOfSeveral(t *testing.T) {
	for i, talk := range readConversations(t) {
		names := othersIn(talk.Archive)
		if len(names) == 0 || testing.Short() && i%4 != 0 {
			continue
		}
		t.Run(talk.name(), func(t *testing.T) {
			t.Parallel()
			ar := unpacked(t, talk.Archive)
			want := severalInTerminal(t, ar, append([]storage.OperatorID{terminal.Operator}, names...)...)
			for name, on := range map[string][]func(*testing.T) handset{
				"Telegram, Matrix": {newOnTelegram, newOnMatrix}, "Matrix, Telegram": {newOnMatrix, newOnTelegram},
				"Matrix": {newOnMatrix}, "Telegram": {newOnTelegram},
			} {
				t.Run(name, func(t *testing.T) {
					var got []played
					dir := filepath.Join(t.TempDir(), "apps")
					synctest.Test(t, func(t *testing.T) { got = severalOnApps(t, crowd(t, dir, names, on...), ar) })
					for i := range want {
						if len(want[i].deeds) == 0 {
							t.Errorf("person %d is told nothing", i)
						}
						if d := apart(want[i], got[i]); d != "" {
							t.Errorf("person %d, paced: %t (-terminal +apps):\n%s", i, got[i].paced, d)
						}
					}
				})
			}
		})
	}
}

// crowd is a stage with the operator and others on apps, by turns.
func crowd(t *testing.T, dir string, names []storage.OperatorID, apps ...func(*testing.T) handset) *stage {
	var on []handset
	for _, app := range apps {
		on = append(on, app(t))
	}
	s := newStage(t, dir, on[0])
	for i, name := range names {
		h := on[(i+1)%len(on)]
		if i+1 >= len(on) {
			h = h.another(string(name))
		}
		s.people = append(s.people, &person{handset: h, name: string(name)})
	}
	return s
}

// othersIn are those who speak in a conversation beside the operator.
func othersIn(ar *txtar.Archive) (names []storage.OperatorID) {
	eachRun(ar, func(_ []string, in string) {
		for line := range strings.Lines(in) {
			name, at := strings.CutPrefix(strings.Fields(line + " .")[0], "@")
			if at && !slices.Contains(names, storage.OperatorID(name)) {
				names = append(names, storage.OperatorID(name))
			}
		}
	})
	return names
}

// play plays a conversation on the app and compares it with that in the terminal.
func (app *messagingApp) play(t *testing.T, ar *txtar.Archive, want played) {
	var got played
	dir := filepath.Join(t.TempDir(), "app")
	synctest.Test(t, func(t *testing.T) { got = onApp(t, app.phone(t), ar, dir) })
	app.all.Add(1)
	app.contacts.Add(int64(len(want.contacts)))
	if got.paced {
		app.paced.Add(1)
	}
	if d := apart(want, got); d != "" {
		t.Errorf("paced: %t (-terminal +app):\n%s", got.paced, d)
	}
}

// severalPhones reports whether others speak in a conversation, too: the stage has one
// phone.
func severalPhones(ar *txtar.Archive) bool {
	return slices.ContainsFunc(ar.Files, func(f txtar.File) bool {
		return f.Name == "in" && slices.ContainsFunc(strings.Split(string(f.Data), "\n"), func(line string) bool {
			return strings.HasPrefix(line, "@")
		})
	})
}

// unpacked is a conversation whose files stand in a directory of its own: args and
// in name them with their whole path, so that conversations run side by side.
func unpacked(t *testing.T, ar *txtar.Archive) *txtar.Archive {
	t.Helper()
	dir := t.TempDir()
	whole := func(name string) string { return filepath.Join(dir, name) }
	var ours []string
	for _, f := range ar.Files {
		if slices.Contains([]string{"args", "in", "want"}, f.Name) {
			continue
		}
		ours = append(ours, f.Name)
		if err := os.WriteFile(whole(f.Name), f.Data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for i, f := range ar.Files {
		text := string(f.Data)
		for _, name := range ours {
			switch f.Name {
			case "args":
				text = strings.ReplaceAll(text, " "+name, " "+whole(name))
			case "in":
				text = strings.ReplaceAll(text, "~ file "+name+"\n", "~ file "+whole(name)+"\n")
			}
		}
		ar.Files[i].Data = []byte(text)
	}
	return ar
}

// eachRun calls play for each start of the program in a conversation.
func eachRun(ar *txtar.Archive, play func(args []string, in string)) {
	args := strings.Fields(rehearsing)
	for _, f := range ar.Files {
		switch f.Name {
		case "args":
			args = strings.Fields(string(f.Data))
		case "in":
			play(args, string(f.Data))
		}
	}
}

// inTerminal plays a conversation in the terminal.
func inTerminal(t *testing.T, ar *txtar.Archive) played {
	return severalInTerminal(t, ar, terminal.Operator)[0]
}

// severalInTerminal plays a conversation of several operators there, and returns what came
// of it for each.
func severalInTerminal(t *testing.T, ar *txtar.Archive, who ...storage.OperatorID) (all []played) {
	dir := filepath.Join(t.TempDir(), "terminal")
	deeds := map[storage.OperatorID][]deed{}
	eachRun(ar, func(args []string, in string) {
		var out, errOut bytes.Buffer
		run(slices.Concat([]string{"chat"}, args, []string{"-data", dir, "-json"}), stdio{strings.NewReader(in), &out, &errOut})
		for line := range strings.Lines(out.String()) {
			var r struct {
				Op, Text string
				To, Path *string
				Silent   bool
				Buttons  []string
				Operator storage.OperatorID
			}
			if err := json.Unmarshal([]byte(line), &r); err != nil {
				t.Fatalf("%v: %s", err, line)
			}
			d := deed{Op: r.Op, Text: r.Text, Silent: r.Silent, Buttons: r.Buttons}
			if r.To != nil {
				d.To = *r.To
			}
			if r.Path != nil {
				body, err := os.ReadFile(*r.Path)
				if err != nil {
					t.Fatal(err)
				}
				d.File = plainName(filepath.Base(*r.Path)) + "\n" + string(body)
			}
			op := cmp.Or(r.Operator, terminal.Operator)
			deeds[op] = append(deeds[op], d.comparable())
		}
	})
	as := func(of storage.OperatorID, name string) int64 {
		number, _ := strconv.ParseInt(name, 10, 64) // that of no message is empty
		return numberOf(slices.Index(who, of), number)
	}
	for _, op := range who {
		all = append(all, played{deeds: deeds[op], contacts: contactsIn(t, dir, op, as)})
	}
	return all
}

// numberOf tells the messages of several people apart.
func numberOf(person int, message int64) int64 { return int64(person)*1000 + message }

// whose is what a calendar's entries hold of the operator's number.
var whose = regexp.MustCompile(`\.[0-9a-f]{8}@`)

// codeAddress is what stands before a code where the app makes it an address.
var codeAddress = regexp.MustCompile(`https://t\.me/\w+\?start=`)

// comparable leaves out what only one of the two apps has: an edit or a sign
// makes no sound anywhere.
func (d deed) comparable() deed {
	if d.Op == string(storage.Edit) || d.Op == string(storage.React) {
		d.Silent = false
	}
	if len(d.Buttons) == 0 {
		d.Buttons = nil
	}
	d.File = whose.ReplaceAllString(d.File, "@")
	d.Text = codeAddress.ReplaceAllString(d.Text, "")
	return d
}

// plainName is a file's name without the number that the terminal adds where
// there is one of that name already.
func plainName(name string) string {
	ext := filepath.Ext(name)
	stem := strings.TrimSuffix(name, ext)
	if i := strings.LastIndexByte(stem, '-'); i > 0 && len(stem)-i == 2 {
		stem = stem[:i]
	}
	return stem + ext
}

// onApp plays a conversation in simulated time on a messaging app, over a store in
// dir. Call it in a bubble.
func onApp(t *testing.T, h handset, ar *txtar.Archive, dir string) played {
	return severalOnApps(t, newStage(t, dir, h), ar)[0]
}

// severalOnApps plays a conversation of several people on a stage, and returns what came of
// it for each.
func severalOnApps(t *testing.T, s *stage, ar *txtar.Archive) (all []played) {
	eachRun(ar, func(args []string, in string) {
		if !s.open(args) {
			return
		}
		defer s.close()
		for line := range strings.Lines(in) {
			if line = strings.TrimSuffix(line, "\n"); strings.TrimSpace(line) != "" {
				s.follow(line)
			}
		}
	})
	number := func(of storage.OperatorID, name string) int64 {
		i := slices.IndexFunc(s.people, func(p *person) bool { return p.operator() == of })
		return numberOf(i, int64(slices.Index(s.people[i].sent, name)+1))
	}
	for _, s.person = range s.people {
		contacts := contactsIn(t, s.dir, s.operator(), number)
		all = append(all, played{deeds: s.deeds(s.numbers()), contacts: contacts, paced: s.late})
	}
	return all
}

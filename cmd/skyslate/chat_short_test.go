package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"
)

// Conversations are recorded short, so that what each is about is not lost among the
// same cautions, reminders and cards again and again; they are played and compared
// whole.
//
//   - What is typed stands in want alone: in is recorded only where the program does
//     not show all of it. To change what is typed, change or add such a line in want,
//     with any time and number, or write in anew; then record with -update.
//   - A post of one line stands behind its head and a colon.
//   - A text that several conversations have stands once, in common.txt, and in them
//     its name stands behind the head and an equals sign.
//   - A card that moves on as it does in many conversations has no text, and such
//     moves in a row are one line, with the first and the last time. They stand in
//     common.txt by pass.
//
// A conversation whose comment says inFull keeps all its posts.
const (
	inFull     = "Shown in full."
	commonFile = "common.txt"
	movesOf    = "moves of "
	indent     = "    "
	isText     = ": "
	isNamed    = " = "
	worthAName = 10 // lines that a name must save
)

// TestShortConversations wants the short form to lose nothing.
func TestShortConversations(t *testing.T) {
	all := readConversations(t)
	c := commonOf(all)
	for _, talk := range all {
		again := readCommon(c.archive()).whole(c.short(talk.Archive))
		if d := cmp.Diff(string(txtar.Format(talk.Archive)), string(txtar.Format(again))); d != "" {
			t.Errorf("%s is not the same any more (-whole +made short and whole again):\n%s", talk.name(), d)
		}
	}
}

// conversation is a recorded conversation, whole.
type conversation struct {
	file string
	*txtar.Archive
}

func (c conversation) name() string { return strings.TrimSuffix(filepath.Base(c.file), ".txtar") }

func isInFull(ar *txtar.Archive) bool { return bytes.Contains(ar.Comment, []byte(inFull)) }

// readConversations returns every conversation, whole.
func readConversations(t *testing.T) []conversation {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(conversations, "*.txtar"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no conversations: %v", err)
	}
	shared, err := txtar.ParseFile(filepath.Join(conversations, commonFile))
	if errors.Is(err, fs.ErrNotExist) {
		shared, err = &txtar.Archive{}, nil
	}
	if err != nil {
		t.Fatal(err)
	}
	c, all := readCommon(shared), make([]conversation, len(files))
	for i, file := range files {
		ar, err := txtar.ParseFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if file, err = filepath.Abs(file); err != nil {
			t.Fatal(err)
		}
		all[i] = conversation{file, c.whole(ar)}
	}
	return all
}

// writeConversations records conversations, which are all there are, in their short
// form.
func writeConversations(t *testing.T, all []conversation) {
	t.Helper()
	c := commonOf(all)
	files := map[string]*txtar.Archive{filepath.Join(filepath.Dir(all[0].file), commonFile): c.archive()}
	for _, talk := range all {
		files[talk.file] = c.short(talk.Archive)
	}
	for file, ar := range files {
		if err := os.WriteFile(file, txtar.Format(ar), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// saying is a post as a conversation shows it, or a line that is no post.
type saying struct {
	head string
	text string // whole lines, indented

	at, to, post, rest, sign, told string // what the head of a post has in it
}

var (
	typedLine = regexp.MustCompile(`(?m)^\d\d:\d\d:\d\d (@[\w-]+ )?(?:m\d+ (.*)|(~ .*))$`)
	postHead  = regexp.MustCompile(`^(\d\d:\d\d:\d\d)(?:–(\d\d:\d\d:\d\d))? ((?:[\w-]+ < )?b\d+)(.*?)(?:(: | = )(.*))?$`)
	passOf    = regexp.MustCompile(`\[1 (?:Skip|Timetable) (\S+ \d\d:\d\d)\]`)
)

// printed is what was printed, and then the files that were sent.
func printed(want []byte) (said, files string) {
	i := bytes.Index(want, []byte("\n==> "))
	if i < 0 {
		i = len(want)
	}
	return string(want[:i]), string(want[i:])
}

// sayings takes what was printed apart.
func sayings(said string) []saying {
	var all []saying
	for line := range strings.Lines(said) {
		if strings.HasPrefix(line, indent) && len(all) > 0 {
			all[len(all)-1].text += line
			continue
		}
		s := saying{head: strings.TrimSuffix(line, "\n")}
		if m := postHead.FindStringSubmatch(s.head); m != nil {
			s.at, s.to, s.post, s.rest, s.sign, s.told = m[1], m[2], m[3], m[4], m[5], m[6]
		}
		all = append(all, s)
	}
	return all
}

func typedIn(want []byte) []byte {
	said, _ := printed(want)
	var in []byte
	for _, m := range typedLine.FindAllStringSubmatch(said, -1) {
		in = fmt.Appendln(in, m[1]+m[2]+m[3])
	}
	return in
}

func (s saying) moves() bool { return s.rest == " moves on" }

// pass is the pass that a card or a reminder is about.
func (s saying) pass() string {
	if m := passOf.FindStringSubmatch(s.text); m != nil {
		return m[1]
	}
	return ""
}

// title says what a text is.
func (s saying) title() string {
	switch pass := s.pass(); {
	case pass != "" && strings.Contains(s.rest, "(pinned)"):
		return "card " + pass
	case pass != "" && strings.Contains(s.rest, "(rings)"):
		return "reminder " + pass
	}
	first, _, _ := strings.Cut(s.text, "\n")
	return strings.TrimSpace(first)
}

// cards has the pass of each card that stands in a conversation so far, by post.
type cards map[string]string

func (c cards) note(s saying) {
	if strings.Contains(s.rest, "(pinned)") {
		c[s.post] = s.pass()
	}
}

// script is how a card moves on: the text by the time.
type script map[string]string

func (sc script) times() []string { return slices.Sorted(maps.Keys(sc)) }

// followed counts the posts at the beginning of said that are moves of one card in a
// row, as they stand in the script.
func (sc script) followed(said []saying) int {
	times := sc.times()
	from, n := max(0, slices.Index(times, said[0].at)), 0
	for n < len(said) && from+n < len(times) {
		s, at := said[n], times[from+n]
		if s.post != said[0].post || !s.moves() || s.at != at || s.text != sc[at] {
			break
		}
		n++
	}
	return n
}

// play is the moves that one line stands for, which is kept if it stands for none.
func (sc script) play(line saying) string {
	to := max(line.at, line.to)
	var moves strings.Builder
	for _, at := range sc.times() {
		if line.at <= at && at <= to {
			moves.WriteString(at + " " + line.post + line.rest + "\n" + sc[at])
		}
	}
	if moves.Len() == 0 {
		return line.head + "\n"
	}
	return moves.String()
}

// common is what conversations share.
type common struct {
	texts map[string]string // by name
	moves map[string]script // by pass
}

func readCommon(ar *txtar.Archive) common {
	c := common{map[string]string{}, map[string]script{}}
	for _, f := range ar.Files {
		pass, isScript := strings.CutPrefix(f.Name, movesOf)
		if !isScript {
			c.texts[f.Name] = string(f.Data)
			continue
		}
		c.moves[pass] = script{}
		for _, s := range sayings(string(f.Data)) {
			c.moves[pass][s.head] = s.text
		}
	}
	return c
}

// archive is the opposite of readCommon.
func (c common) archive() *txtar.Archive {
	ar := &txtar.Archive{Comment: []byte("What several conversations have, by the names that they use. It is written by\ngo test ./cmd/skyslate -run TestConversations -update\n")}
	for _, name := range slices.Sorted(maps.Keys(c.texts)) {
		ar.Files = append(ar.Files, txtar.File{Name: name, Data: []byte(c.texts[name])})
	}
	for _, pass := range slices.Sorted(maps.Keys(c.moves)) {
		f := txtar.File{Name: movesOf + pass}
		for _, at := range c.moves[pass].times() {
			f.Data = fmt.Append(f.Data, at, "\n", c.moves[pass][at])
		}
		ar.Files = append(ar.Files, f)
	}
	return ar
}

// commonOf finds what conversations share. Texts are named in the order in which
// they appear.
func commonOf(all []conversation) common {
	c, taken := common{map[string]string{}, map[string]script{}}, map[string]int{}
	shared, played := sharedOf(all)
	for _, a := range shared {
		switch {
		case a.pass != "" && a.in > max(1, played[a.pass]*2/5):
			if c.moves[a.pass] == nil {
				c.moves[a.pass] = script{}
			}
			c.moves[a.pass][a.first.at] = a.first.text
		case a.pass == "" && (a.in-1)*strings.Count(a.first.text, "\n") >= worthAName:
			name := a.first.title()
			if taken[name]++; taken[name] > 1 {
				name = fmt.Sprintf("%s (%d)", name, taken[name])
			}
			c.texts[name] = a.first.text
		}
	}
	return c
}

// appearance is a text of several lines, or a card's move.
type appearance struct {
	pass  string // of a move: its card's
	first saying
	in    int    // conversations
	last  string // the last of them
}

// sharedOf returns what conversations have to share in the order in which it appears,
// and in how many of them a pass has a card.
func sharedOf(all []conversation) (shared []*appearance, played map[string]int) {
	played = map[string]int{}
	known := map[[3]string]*appearance{}
	for _, talk := range all {
		if isInFull(talk.Archive) {
			continue
		}
		passes := cards{}
		for _, s := range talk.sayings() {
			passes.note(s)
			key := [3]string{s.text}
			switch {
			case s.moves():
				key = [3]string{s.text, passes[s.post], s.at}
			case s.post == "" || strings.Count(s.text, "\n") < 2:
				continue
			}
			a := known[key]
			if a == nil {
				a = &appearance{pass: key[1], first: s}
				known[key] = a
				shared = append(shared, a)
			}
			if a.last != talk.file {
				a.last = talk.file
				a.in++
			}
		}
		for pass := range maps.Values(passes) {
			played[pass]++
		}
	}
	return shared, played
}

// sayings is all that is shown in a conversation.
func (c conversation) sayings() []saying {
	var all []saying
	for _, f := range c.Files {
		if said, _ := printed(f.Data); f.Name == "want" {
			all = append(all, sayings(said)...)
		}
	}
	return all
}

// whole is a recorded conversation with everything that is typed and shown in it.
func (c common) whole(short *txtar.Archive) *txtar.Archive {
	ar, passes := &txtar.Archive{Comment: short.Comment}, cards{}
	for i, f := range short.Files {
		if f.Name == "want" {
			if i == 0 || short.Files[i-1].Name != "in" {
				ar.Files = append(ar.Files, txtar.File{Name: "in", Data: typedIn(f.Data)})
			}
			said, files := printed(f.Data)
			f.Data = []byte(c.lengthen(sayings(said), passes) + files)
		}
		ar.Files = append(ar.Files, f)
	}
	return ar
}

// short is the opposite of whole.
func (c common) short(whole *txtar.Archive) *txtar.Archive {
	ar, passes := &txtar.Archive{Comment: whole.Comment}, cards{}
	for i, f := range whole.Files {
		switch {
		case f.Name == "in" && i+1 < len(whole.Files) && bytes.Equal(typedIn(whole.Files[i+1].Data), f.Data):
			continue
		case f.Name == "want" && !isInFull(whole):
			said, files := printed(f.Data)
			f.Data = []byte(c.shorten(sayings(said), passes) + files)
		}
		ar.Files = append(ar.Files, f)
	}
	return ar
}

func (c common) lengthen(said []saying, passes cards) string {
	var b strings.Builder
	for _, s := range said {
		switch text, ok := c.texts[s.told]; {
		case s.sign == isText:
			s.head, s.text = strings.TrimSuffix(s.head, isText+s.told), indent+s.told+"\n"
		case s.sign == isNamed && ok:
			s.head, s.text = strings.TrimSuffix(s.head, isNamed+s.told), text
		}
		passes.note(s)
		if s.moves() && s.text == "" {
			b.WriteString(c.moves[passes[s.post]].play(s))
		} else {
			b.WriteString(s.head + "\n" + s.text)
		}
	}
	return b.String()
}

func (c common) shorten(said []saying, passes cards) string {
	name := map[string]string{}
	for n, text := range c.texts {
		name[text] = n
	}
	var b strings.Builder
	for len(said) > 0 {
		s := said[0]
		passes.note(s)
		line, more, _ := strings.Cut(strings.TrimPrefix(s.text, indent), "\n")
		n := c.moves[passes[s.post]].followed(said)
		switch {
		case n > 1:
			fmt.Fprintf(&b, "%s–%s %s%s\n", s.at, said[n-1].at, s.post, s.rest)
		case n == 1:
			fmt.Fprintln(&b, s.head)
		case s.post != "" && name[s.text] != "":
			fmt.Fprintln(&b, s.head+isNamed+name[s.text])
		case s.post != "" && line != "" && more == "":
			fmt.Fprintln(&b, s.head+isText+line)
		default:
			b.WriteString(s.head + "\n" + s.text)
		}
		said = said[max(n, 1):]
	}
	return b.String()
}

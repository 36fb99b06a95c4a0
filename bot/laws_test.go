package bot

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	cmpdiff "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"skyslate/parse"
)

// The laws of the log, in random histories that come in through the same door as
// real messages. What fails is shrunk and printed as a script for `chat`.
//
//  1. Sent A, edited to B, is sent B at A's moment. What is edited back was never
//     edited. Lines that moved are the lines they were.
//  2. What is taken back never came; with all of it taken back nothing is logged. Undo takes
//     back what was said last, or says that this makes no difference.
//  3. A message of several lines is as many messages at the same moment.
//  4. A restart changes nothing, and neither does deriving anew.
//  5. An answer holds as long as what was asked stands.
//  6. Evidence changes no contact that it doesn't name.
//  7. What is on the screen is what the log says.
//  8. What somebody else wrote is not logged until it is answered, and changes nothing.
//  9. Which passes are stored, and which worked out when they are shown, nobody sees.

// An act is one thing that an operator does. Messages are numbered by the act, so
// that a history without some of its acts still speaks of the same ones.
type act struct {
	kind string // say, number, relay, voice, edit, reply, answer, typed, tap, again, which, correct, undo, command, restart
	id   int64  // of the message sent
	on   int64  // the message that is edited or answered, or whose question is tapped
	n    int    // which contact of it, and which button
	text string
	wait time.Duration // before it
}

func (a act) String() string {
	wait := fmt.Sprintf("~ %s\n", a.wait)
	text := strings.ReplaceAll(a.text, "\n", `\n`)
	switch a.kind {
	case "edit":
		return wait + fmt.Sprintf("~ edit m%d %s", a.on, text)
	case "reply":
		return wait + fmt.Sprintf("~ reply m%d %s", a.on, text)
	case "answer":
		return wait + fmt.Sprintf("~ reply (the echo of m%d) %s", a.on, text)
	case "tap":
		return wait + fmt.Sprintf("~ tap (question %d of m%d) %d", a.n/8, a.on, a.n%8+1)
	case "which":
		return wait + fmt.Sprintf("~ tap (which pass) %d", a.n+1)
	case "typed":
		return wait + fmt.Sprintf("~ reply (open question %d from the last) %s", a.n, text)
	case "again":
		return wait + fmt.Sprintf("~ tap (once more, %d taps ago)", a.n)
	case "correct":
		return wait + text + "\n~ tap (yes)"
	case "relay":
		return wait + "~ relay " + text
	case "voice":
		return wait + fmt.Sprintf("~ voice m%d 3m", a.id)
	case "undo":
		return wait + "undo"
	case "restart":
		return wait + "(restart)"
	}
	return wait + text
}

type history []act

func (h history) String() string {
	var lines []string
	for _, a := range h {
		lines = append(lines, a.String())
	}
	return strings.Join(lines, "\n")
}

var lawCalls = []string{"OX7EC", "DI4ZAB", "HX7AAB", "2Z0VEK", "DI4ZAC"}

var lawGrids = []string{"JO33", "JO34", "JO43", "IO85"}

// aLine draws a line as operators write them. What is filled in is marked by symbols that
// no bird's name has.
func aLine(r *rapid.T) string {
	call, other := rapid.SampledFrom(lawCalls).Draw(r, "call"), rapid.SampledFrom(lawCalls).Draw(r, "other call")
	grid := rapid.SampledFrom(lawGrids).Draw(r, "grid")
	return strings.NewReplacer("@", call, "&", other, "#", grid).Replace(rapid.SampledFrom([]string{
		"@ #", "@ #", "@ #", "@ #", "@ #", "@", "#", "@/P #", "@ # :15", "@ # 13:14", "@ # +1:10", "@ # 59 name Bob",
		"slate 13:12:30", "correction #", "heard @", "no contact", "13:14", ":16", "OCHRE-1", "OCHRE-2", "OCHRE-2 @ #",
		"fine weather", "@ J033", "K12QX #", "..ZAB #", "@ not #", "@ # +0:40", "@ # +11:00", "@ +2:00", "CELADON", "CELADON @ #",
		"where is OCHRE-1 now?", "what now?", "@ same grid", "same grid", "@ # 15:14 local", "SIENNA", "slate 13:13", "slate 14:49:50", "13:13:20", "*#", "I meant #", "scratch that", "DI4ZA? #", "@ 2m", "@ # sjutti", "@ sjutti", "@ # 14:52",
		"@ JO43 & #", "@ and & both #",
	}).Draw(r, "form"))
}

func aText(r *rapid.T) string {
	return strings.Join(rapid.SliceOfN(rapid.Custom(aLine), 1, 3).Draw(r, "lines"), "\n")
}

func anAnswer(r *rapid.T) string {
	return rapid.SampledFrom([]string{
		"JO33", "JO34", "DI4ZAB", "OX7EC JO43", ":15", "13:16", "+2:00", "worked", "heard", "59", "anna", "dup", "CD", "slate 13:13:10",
		"13:12:40", "DI4ZAB JO43 +0:50", "drop it", "yes", "no", "OCHRE-1", "CELADON",
	}).Draw(r, "answer")
}

// A writer draws histories.
type writer struct {
	r    *rapid.T
	next int64
	sent []int64
}

func (w *writer) wait() time.Duration {
	return rapid.SampledFrom([]time.Duration{
		0, 0, 2 * time.Second, 15 * time.Second, 15 * time.Second, 40 * time.Second, 2 * time.Minute, 8 * time.Minute,
		50 * time.Minute, 97 * time.Minute, 14 * time.Hour,
	}).Draw(w.r, "wait")
}

func (w *writer) say(text string) act {
	w.next++
	w.sent = append(w.sent, w.next)
	return act{kind: "say", id: w.next, text: text, wait: w.wait()}
}

func (w *writer) any(kinds ...string) act {
	kind := rapid.SampledFrom(kinds).Draw(w.r, "kind")
	if len(w.sent) == 0 && slices.Contains([]string{"edit", "reply", "answer", "tap"}, kind) {
		kind = "say"
	}
	switch kind {
	case "say":
		return w.say(aText(w.r))
	case "edit":
		return act{kind: kind, on: rapid.SampledFrom(w.sent).Draw(w.r, "on"), text: aText(w.r), wait: w.wait()}
	case "reply", "answer":
		on := rapid.SampledFrom(w.sent).Draw(w.r, "on")
		w.next++
		w.sent = append(w.sent, w.next)
		return act{kind: kind, id: w.next, on: on, text: anAnswer(w.r), wait: w.wait()}
	case "tap":
		return act{kind: kind, on: rapid.SampledFrom(w.sent).Draw(w.r, "on"), n: rapid.IntRange(0, 15).Draw(w.r, "button"), wait: w.wait()}
	case "which":
		return act{kind: kind, n: rapid.IntRange(0, 2).Draw(w.r, "button"), wait: w.wait()}
	case "again":
		return act{kind: kind, n: rapid.IntRange(1, 3).Draw(w.r, "taps"), wait: w.wait()}
	case "typed":
		w.next++
		w.sent = append(w.sent, w.next)
		return act{kind: kind, id: w.next, n: rapid.IntRange(1, 2).Draw(w.r, "question"), text: anAnswer(w.r), wait: w.wait()}
	case "relay":
		a := w.say(aText(w.r))
		a.kind = kind
		return a
	case "voice":
		w.next++
		w.sent = append(w.sent, w.next)
		return act{kind: kind, id: w.next, wait: w.wait()}
	case "correct":
		w.next++
		scope := rapid.SampledFrom([]string{"", "1 ", "1-2 ", "2 "}).Draw(w.r, "scope")
		if theirs := rapid.Bool().Draw(w.r, "theirs"); theirs {
			return act{kind: kind, id: w.next, wait: w.wait(), text: "/correct " + rapid.SampledFrom([]string{
				"1 call DI4ZAB", "2 call OX7EC", "1 grid JO34", "2 grid JO33 JO34",
			}).Draw(w.r, "change")}
		}
		return act{kind: kind, id: w.next, wait: w.wait(), text: "/correct " + scope + rapid.SampledFrom([]string{
			"mygrid JO61", "mycall HX7KZQ/P", "bird OCHRE-1", "bird CELADON", "bird SIENNA", "date 2026-09-01", "date 2026-08-31", "slate 13:13:00", "slate 14:50",
		}).Draw(w.r, "change")}
	case "number":
		w.next++
		w.sent = append(w.sent, w.next)
		return act{kind: kind, id: w.next, wait: w.wait(), text: rapid.SampledFrom([]string{
			"drop 1", "2 drop", "1 is /p", "2 is JO34", "1 was OX7EC", "1 is :15", "3 is JO33\ndrop 2", "/undo 1", "/undo 2",
			"DI4ZAB is DI4ZAC", "change OX7EC to HX7AAB", "OX7EC was JO34", "2Z0VEK was in JO43 not JO33", "drop DI4ZAB", "drop OX7EC from yesterday",
			"1 13:15", "1 is CELADON", "all were worked",
		}).Draw(w.r, "said")}
	case "command":
		w.next++
		return act{kind: kind, id: w.next, wait: w.wait(), text: rapid.SampledFrom([]string{"/at JO61", "/at JO62", "/call HX7KZQ/P", "/call HX7KZQ"}).Draw(w.r, "command")}
	}
	w.next++
	return act{kind: kind, id: w.next, wait: w.wait()}
}

var everything = []string{
	"say", "say", "say", "say", "say", "say", "edit", "edit", "edit", "reply", "answer", "typed", "tap", "tap", "which", "correct", "voice", "command",
	"restart", "relay", "number",
}

func (w *writer) some(most int, kinds ...string) history {
	var h history
	for range rapid.IntRange(0, most).Draw(w.r, "acts") {
		h = append(h, w.any(kinds...))
	}
	return h
}

type fataler interface {
	Fatalf(format string, args ...any)
}

func same(r fataler, law string, a, b []string, h, g history) {
	if !slices.Equal(a, b) {
		r.Fatalf("%s\n--- of\n%s\n--- comes\n%s\n--- of\n%s\n--- comes\n%s", law, h, strings.Join(a, "\n"), g, strings.Join(b, "\n"))
	}
}

// compare plays two histories and compares their logs, unless a tap answered
// different questions, or a reply was to an echo that only one of them has.
func compare(t *testing.T, r *rapid.T, law string, h, g history, peers bool) {
	p, q := newPlayer(t), newPlayer(t)
	p.peers, q.peers = peers, peers
	p.play(h)
	defer p.close()
	q.play(g)
	defer q.close()
	if slices.Equal(p.asked, q.asked) {
		same(r, law, p.log(), q.log(), h, g)
	}
}

func TestLawOfEdits(t *testing.T) { lawOfEdits(t, false) }

// Where somebody on the pass lets their log be compared, too, who is guessed stays so.
func TestLawOfEditsAmongPeers(t *testing.T) { lawOfEdits(t, true) }

func lawOfEdits(t *testing.T, peers bool) {
	rapid.Check(t, func(r *rapid.T) {
		w := &writer{r: r}
		h := w.some(4, everything...)
		h = append(h, w.say(aText(r)))
		sent := len(h) - 1
		m := h[sent].id
		h = append(h, others(w.some(3, "say", "say", "edit", "reply", "answer", "command", "restart"), m)...)
		back := rapid.Bool().Draw(r, "back")
		var edits []int
		for range rapid.IntRange(1, 2).Draw(r, "edits") {
			edits = append(edits, len(h))
			h = append(h, act{kind: "edit", on: m, text: aText(r), wait: w.wait()})
		}
		if back {
			edits = append(edits, len(h))
			h = append(h, act{kind: "edit", on: m, text: h[sent].text, wait: w.wait()})
		}
		h = append(h, w.some(3, everything...)...)
		g := slices.Clone(h)
		g[sent].text = h[edits[len(edits)-1]].text
		for _, i := range edits {
			g[i] = act{kind: "restart", wait: h[i].wait} // the time passes all the same
		}
		compare(t, r, "edited is sent so", h, g, peers)
	})
}

// others are acts that edit no message m.
func others(h history, m int64) history {
	return slices.DeleteFunc(h, func(a act) bool { return a.kind == "edit" && a.on == m })
}

func TestLawOfUndo(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := &writer{r: r}
		h := w.some(6, everything...)
		p := play(t, h)
		defer p.close()
		logs := [][]string{p.offered()}
		for range rapid.IntRange(1, 3).Draw(r, "steps") {
			a := w.any("say", "say", "edit", "reply", "answer", "typed", "tap", "again", "which", "correct", "number", "voice", "restart")
			h = append(h, a)
			p.act(a)
			if now := p.offered(); !slices.Equal(now, logs[len(logs)-1]) {
				logs = append(logs, now)
			}
		}
		for len(logs) > 1 {
			logs = logs[:len(logs)-1]
			p.undo(r, func() {
				w.next++
				a := act{kind: "undo", id: w.next, wait: time.Second}
				h = append(h, a)
				p.act(a)
			})
			same(r, "what is taken back never came", logs[len(logs)-1], p.offered(), h, nil)
		}
		for range len(h) + 2 {
			w.next++
			p.act(act{kind: "undo", id: w.next, wait: time.Second})
		}
		same(r, "all of it taken back is nothing", nil, p.offered(), h, nil)
	})
}

// headsBetween reports whether a line is a bird's name between contacts of its message. It
// heads those below it; sent by itself it answers which pass the one above was of, as that was
// asked by then.
func headsBetween(lines []string, i int) bool {
	tells := func(line string) bool {
		return len(parse.Read(line, parse.Known{Birds: []string{"OCHRE-1", "OCHRE-2", "CELADON", "SIENNA"}})[0].Contacts) > 0
	}
	return birdAlone.MatchString(lines[i]) && slices.ContainsFunc(lines[:i], tells) && slices.ContainsFunc(lines[i+1:], tells)
}

var birdAlone = regexp.MustCompile(`^(OCHRE-1|OCHRE-2|CELADON|SIENNA)$`)

func TestLawOfLines(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := &writer{r: r}
		h := w.some(4, everything...)
		lines := rapid.SliceOfN(rapid.Custom(aLine), 2, 4).Draw(r, "lines")
		for i := range lines[:len(lines)-1] { // a line that governs those below does so in its message
			if headsBetween(lines, i) || parse.Read(lines[i], parse.Known{})[0].Headed {
				lines[i] = "OX7EC JO33"
			}
		}
		whole := append(slices.Clone(h), w.say(strings.Join(lines, "\n")))
		wait := whole[len(h)].wait
		apart := slices.Clone(h)
		for i, line := range lines {
			w.next++
			a := act{kind: "say", id: w.next, text: line}
			if i == 0 {
				a.wait = wait
			}
			apart = append(apart, a)
		}
		p, q := play(t, whole), play(t, apart)
		defer p.close()
		defer q.close()
		same(r, "lines are messages", p.bare(), q.bare(), whole, apart)
	})
}

// bare is the log without the messages it came from.
func (p *player) bare() []string {
	all := p.log()
	for i, s := range all {
		_, all[i], _ = strings.Cut(s, " ")
	}
	slices.Sort(all)
	return all
}

func TestLawOfPasses(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := &writer{r: r}
		var h history
		for range rapid.IntRange(1, 9).Draw(r, "acts") {
			h = append(h, w.any(append(everything, "undo", "command", "command")...))
			if rapid.Bool().Draw(r, "asked") {
				w.next++
				h = append(h, act{kind: "command", id: w.next, wait: w.wait(), text: rapid.SampledFrom([]string{
					"/passes", "/light", "/light celadon", "/remind birds CELADON OCHRE-1", "/remind birds on", "/wanted JO33", "/horizon 20", "/voice all",
					"/sked DI4ZAB JO43 13:15", "/log all",
				}).Draw(r, "question")})
			}
		}
		needed, every := newPlayer(t), newPlayer(t)
		every.everyPass = true
		for _, p := range []*player{needed, every} {
			p.play(h)
			defer p.close()
		}
		if d := cmpdiff.Diff(every.seen(), needed.seen()); d != "" {
			r.Fatalf("(-every pass stored +those needed):\n%s\n---\n%s", d, h)
		}
	})
}

// A pass is named by its AOS at the place where it was first told.
var passName = regexp.MustCompile(`\d{8}T\d{6}Z-`)

// seen is all that was posted, with its buttons, and the log.
func (p *player) seen() []string {
	all := p.offered()
	for _, o := range p.said {
		all = append(all, fmt.Sprint(o.Op, " ", o.Name, " to ", o.ReplyTo, ": ", o.Text, o.Buttons))
	}
	for i := range all {
		all[i] = passName.ReplaceAllString(all[i], "pass ")
	}
	return all
}

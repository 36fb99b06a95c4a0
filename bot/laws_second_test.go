package bot

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/bot/event"
	"skyslate/bot/second"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/logbook"
	"skyslate/storage/phones"
)

// The laws of a log that two phones write.
//
//  1. What a phone takes back never came, whatever the other one wrote; with all of it
//     taken back on both nothing is logged.
//  2. A restart changes nothing.
//  3. A second phone that writes nothing changes nothing.
//  4. Lines that name station and grid come to the same on either phone, unless two name
//     stations a symbol apart in one square within a minute: that is asked.
//  5. Both phones show the log.
//  6. The halves of a contact are one phone's: of two phones they are asked, never joined.

const lawCode = "phone-of-the-laws"

// deal is an act, on the operator's phone or the second one.
type deal struct {
	act
	second bool
}

func (d deal) String() string {
	if !d.second {
		return d.act.String()
	}
	wait, did, _ := strings.Cut(d.act.String(), "\n")
	return wait + "\n@anna " + did
}

type deals []deal

func (ds deals) String() string {
	var lines []string
	for _, d := range ds {
		lines = append(lines, d.String())
	}
	return strings.Join(lines, "\n")
}

// do does something on one of the phones.
func (p *player) do(d deal) {
	if d.second {
		p.who = mate
	}
	p.act(d.act)
	p.who = ""
}

// duo plays what two phones do.
func duo(t *testing.T, ds deals) *player {
	p := newPlayer(t)
	p.play(nil)
	p.pair()
	for _, d := range ds {
		p.do(d)
	}
	return p
}

// pair lets the second phone in.
func (p *player) pair() {
	p.until(p.now.Add(time.Second))
	p.event(event.Event{Kind: event.Said, Message: 900_001, Text: "/second", ID: "offer"})
	p.who = mate
	p.event(event.Event{Kind: event.Said, Message: 900_001, Text: lawCode, ID: "join"})
	p.who = ""
}

// seatFrom is since when the second phone writes.
func (p *player) seatFrom() (from time.Time) {
	p.must(p.store.View(func(v *storage.View) error { from = v.Seat(mate).From; return nil }))
	return from
}

// two draws what two phones do.
type two struct {
	own, second *writer
}

// whoChanged is what stands below a contact that the other phone changed.
var whoChanged = regexp.MustCompile(`(?m)\n   (?:by )?(?:HX7KZQ|the other phone).*$`)

func newTwo(r *rapid.T) two { return two{&writer{r: r}, &writer{r: r}} }

func (w two) writer(second bool) *writer {
	if second {
		return w.second
	}
	return w.own
}

// any draws an act of one of the phones. No pause is as long as a night: the second
// phone's day would be over.
func (w two) any(second bool, kinds ...string) deal {
	a := w.writer(second).any(kinds...)
	a.wait = min(a.wait, 8*time.Minute)
	return deal{a, second}
}

// of draws some acts.
func (w two) of(most int, own, second []string) (ds deals) {
	r := w.own.r
	for range rapid.IntRange(0, most).Draw(r, "acts") {
		if rapid.Bool().Draw(r, "second") {
			ds = append(ds, w.any(true, second...))
		} else {
			ds = append(ds, w.any(false, own...))
		}
	}
	return ds
}

// secondActs are what a second phone does.
var secondActs = []string{"say", "say", "say", "say", "edit", "reply", "number", "which", "relay", "restart"}

func TestLawOfTwoUndos(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := newTwo(r)
		ds := w.of(6, everything, secondActs)
		p := duo(t, ds)
		defer p.close()
		undo := func(second bool) {
			w.writer(second).next++
			d := deal{act{kind: "undo", id: w.writer(second).next, wait: time.Second}, second}
			ds = append(ds, d)
			p.do(d)
		}
		second := rapid.Bool().Draw(r, "takes back")
		logs := [][]string{p.offered()}
		for range rapid.IntRange(1, 3).Draw(r, "steps") {
			d := w.any(second, "say", "say", "edit", "reply", "number", "which", "restart")
			ds = append(ds, d)
			p.do(d)
			if now := p.offered(); !slices.Equal(now, logs[len(logs)-1]) {
				logs = append(logs, now)
			}
		}
		for len(logs) > 1 {
			logs = logs[:len(logs)-1]
			p.undo(r, func() { undo(second) })
			if d := gone(logs[len(logs)-1], p.offered()); d != "" {
				r.Fatalf("what is taken back never came: %s\n%s", d, ds)
			}
		}
		for range len(ds) + 2 {
			undo(true)
			undo(false)
		}
		if left := p.offered(); len(left) > 0 {
			r.Fatalf("all of it taken back on both is nothing: %q\n%s", left, ds)
		}
	})
}

// gone tells how two logs differ.
func gone(want, got []string) string {
	if slices.Equal(want, got) {
		return ""
	}
	return fmt.Sprintf("want\n%s\ngot\n%s", strings.Join(want, "\n"), strings.Join(got, "\n"))
}

func TestLawOfTwoRestarts(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := newTwo(r)
		var ds, still deals
		for _, d := range w.of(9, everything, append(secondActs, "undo")) {
			if rapid.Bool().Draw(r, "restart") {
				ds = append(ds, deal{act: act{kind: "restart"}})
				still = append(still, deal{act: act{kind: "rest"}})
			}
			ds = append(ds, d)
			if d.kind == "restart" {
				d.kind = "rest" // the time passes all the same
			}
			still = append(still, d)
		}
		p, q := duo(t, ds), duo(t, still)
		defer p.close()
		defer q.close()
		if d := gone(q.offered(), p.offered()); d != "" {
			r.Fatalf("a restart changes nothing: %s\n%s", d, ds)
		}
	})
}

func TestLawOfSilentSecond(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := newTwo(r)
		var ds deals
		for range rapid.IntRange(0, 9).Draw(r, "acts") {
			ds = append(ds, w.any(false, append(everything, "undo")...))
		}
		p, q := duo(t, ds), newPlayer(t)
		q.play(nil)
		q.until(q.now.Add(time.Second))
		q.event(event.Event{Kind: event.Said, Message: 900_001, Text: "/help", ID: "offer"}) // the phone is heard then, too
		defer p.close()
		defer q.close()
		for _, d := range ds {
			q.do(d)
		}
		if d := gone(q.offered(), p.offered()); d != "" {
			r.Fatalf("a second phone that writes nothing changes nothing: %s\n%s", d, ds)
		}
	})
}

func TestLawOfEitherPhone(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var both, alone deals
		for i := range rapid.IntRange(1, 8).Draw(r, "lines") {
			a := act{
				kind: "say", id: int64(i + 1), wait: rapid.SampledFrom([]time.Duration{5 * time.Second, 15 * time.Second, 40 * time.Second}).Draw(r, "wait"),
				text: rapid.SampledFrom(lawCalls[:4]).Draw(r, "call") + " " + rapid.SampledFrom(lawGrids).Draw(r, "grid") +
					rapid.SampledFrom([]string{"", "", " :15", " 59"}).Draw(r, "more"),
			}
			both = append(both, deal{a, rapid.Bool().Draw(r, "second")})
			alone = append(alone, deal{a, false})
		}
		p, q := duo(t, both), duo(t, alone)
		defer p.close()
		defer q.close()
		if d := gone(q.bare(), p.bare()); d != "" {
			r.Fatalf("whole lines come to the same on either phone: %s\n%s", d, both)
		}
	})
}

// What two phones told of one station, a symbol apart, no file has twice.
func TestLawOfTwins(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var ds deals
		for i := range rapid.IntRange(2, 8).Draw(r, "lines") {
			a := act{kind: "say", id: int64(i + 1), wait: rapid.SampledFrom([]time.Duration{0, 5 * time.Second, 40 * time.Second}).Draw(r, "wait")}
			a.text = rapid.SampledFrom([]string{"DI4ZAB", "DI4ZAC", "DI4ZAB/P"}).Draw(r, "call") + " " + rapid.SampledFrom([]string{"JO43", "JO43", "JO43ab", "JO44"}).Draw(r, "grid")
			if i > 0 && rapid.IntRange(0, 3).Draw(r, "edit") == 0 {
				a.kind, a.on = "edit", int64(rapid.IntRange(1, i).Draw(r, "on"))
			}
			ds = append(ds, deal{a, rapid.Bool().Draw(r, "second")})
		}
		p := duo(t, ds)
		defer p.close()
		entries := logbook.Entries(p.contacts())
		for i, a := range entries {
			for _, b := range entries[:i] {
				two, near := phones.Of(a.Message) != phones.Of(b.Message), p.sentAt(a.Message).Sub(p.sentAt(b.Message)).Abs() <= time.Minute
				if two && near && slices.Equal(parse.Squares(a.Grids), parse.Squares(b.Grids)) {
					r.Fatalf("a file has both %s and %s\n%s", a.Call, b.Call, ds)
				}
			}
		}
	})
}

// Halves told on two phones by turns, at random: calls that one phone alone tells, and
// grids that the other alone tells, are never in one contact.
func TestLawOfHalves(t *testing.T) {
	calls, grids := [2][]string{{"DI4ZAB", "OX7EC"}, {"HX7AAB", "2Z0VEK"}}, [2][]string{{"JO33", "JO34"}, {"IO85", "JO43"}}
	rapid.Check(t, func(r *rapid.T) {
		var ds deals
		for i := range rapid.IntRange(2, 10).Draw(r, "halves") {
			which := rapid.IntRange(0, 1).Draw(r, "phone")
			half := rapid.SampledFrom(slices.Concat(calls[which], grids[which], []string{
				calls[which][0] + " " + grids[which][0], "I meant " + grids[which][1], "scratch that", "13:14", "same grid", "restart",
			})).Draw(r, "half")
			a := act{kind: "say", id: int64(i + 1), text: half, wait: rapid.SampledFrom([]time.Duration{0, 0, time.Second, 15 * time.Second}).Draw(r, "wait")}
			if half == "restart" {
				a.kind = half
			}
			ds = append(ds, deal{a, which == 1})
		}
		p := duo(t, ds)
		defer p.close()
		for _, c := range p.contacts() {
			for which := range 2 {
				for _, g := range c.Grids {
					if c.Exported() && slices.Contains(calls[which], c.Call.String()) && slices.Contains(grids[1-which], g.String()) {
						r.Fatalf("%s %v is joined of two phones' halves\n%s", c.Call, c.Grids, ds)
					}
				}
			}
		}
	})
}

// What the operator's phone shows of a contact, the second one shows, but for who changed it.
func TestLawOfTwoScreens(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := newTwo(r)
		ds := w.of(9, everything, append(secondActs, "undo"))
		p := duo(t, ds)
		defer p.close()
		for _, o := range p.said {
			kind, _, _ := strings.Cut(strings.TrimPrefix(o.Name, "7/"), "/")
			if o.Operator != inga || o.Op != "send" || !second.Shared(kind) {
				continue
			}
			own, _ := p.postNamed(o.Name)
			copied, ok := p.postNamed("8/with/" + o.Name)
			if !ok && own.SentAt.Before(p.seatFrom()) {
				continue // from before the phone came
			}
			if whoChanged.ReplaceAllString(own.Text, "") != whoChanged.ReplaceAllString(copied.Text, "") {
				r.Fatalf("%s reads\n%s\nand on the second phone\n%s\n%s", o.Name, own.Text, copied.Text, ds)
			}
		}
	})
}

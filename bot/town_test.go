package bot

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/peers"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/storage"
)

// A town is a desk with several operators, each with the posts that stand before them.
type town struct {
	*field
	sent  map[storage.OperatorID]int64
	heard map[storage.OperatorID][]string // by them, in order, with when it came
	offer map[storage.OperatorID]string   // the data of the newest button that takes over what differs
}

// A townsman is an operator with a call and a place.
type townsman struct {
	id          storage.OperatorID
	call, place string
}

var (
	anna  = townsman{"7", "HX7KZQ", "JO62"}
	bert  = townsman{"8", "OX7EC", "JO61"}
	clara = townsman{"9", "DI4ZAB", "JO63"}

	// Those who write into another's log.
	annasMate, bertsMate = townsman{id: "5"}, townsman{id: "6"}
)

// pairs lets a second phone into somebody's log.
func (d *town) pairs(log, phone townsman) {
	d.t.Helper()
	code := "phone-" + string(phone.id)
	d.desk.newCode = func(string) string { return code }
	d.tells(log, "/second")
	d.tells(phone, code)
}

// newTown has operators who all let their logs be compared.
func newTown(t *testing.T, store *storage.Store, shared *sky.Sky, at string, people ...townsman) *town {
	d := &town{
		field: &field{t: t, store: store, now: utc(at)},
		sent:  map[storage.OperatorID]int64{}, heard: map[storage.OperatorID][]string{}, offer: map[storage.OperatorID]string{},
	}
	d.desk = New(Config{Store: d.store, Sky: shared, Version: "test"})
	for _, p := range people {
		call := parse.MustParseCallsign(p.call)
		d.must(d.desk.SetUp(storage.Operator{
			ID: p.id, Joined: d.now, Cautioned: d.now, Heard: d.now.Add(-time.Hour), Call: call, Place: placeAt(p.place),
			Remind: storage.DefaultRemind(), Agreeing: storage.Agreeing{Call: call, Since: d.now},
		}, d.now))
	}
	d.pass(0)
	return d
}

// happens works an event of an operator's.
func (d *town) happens(p townsman, e event.Event) {
	d.t.Helper()
	e.Operator, e.At = p.id, d.now
	raw, err := event.Encode(e)
	d.must(err)
	d.must(d.desk.Accept(nil, raw))
	d.field.work()
	d.listen()
}

// tells sends a message, and returns its number.
func (d *town) tells(p townsman, text string) int64 {
	d.t.Helper()
	d.sent[p.id]++
	n := d.sent[p.id]
	d.happens(p, event.Event{ID: fmt.Sprintf("%s said %d", p.id, n), Kind: event.Said, Message: n, Text: text})
	return n
}

func (d *town) edits(p townsman, message int64, text string) {
	d.t.Helper()
	d.sent[p.id]++
	d.happens(p, event.Event{ID: fmt.Sprintf("%s edited %d", p.id, d.sent[p.id]), Kind: event.Edited, Message: message, Text: text})
}

func (d *town) taps(p townsman, data string) {
	d.t.Helper()
	d.sent[p.id]++
	d.happens(p, event.Event{ID: fmt.Sprintf("%s tapped %d", p.id, d.sent[p.id]), Kind: event.Tapped, Data: data})
}

// pass lets time pass, moment by moment.
func (d *town) pass(long time.Duration) {
	d.t.Helper()
	end := d.now.Add(long)
	for {
		next, ok, err := d.desk.Next()
		d.must(err)
		if !ok || next.After(end) {
			break
		}
		d.field.until(next)
		d.listen()
	}
	d.now = end
}

// listen notes what was sent since, by whom it is for.
func (d *town) listen() {
	for _, o := range d.said {
		shown := []string{fmt.Sprintf("%s %s %v: %s", d.now.UTC().Format("15:04:05"), o.Op, o.Silent, o.Text)}
		for _, b := range slices.Concat(o.Buttons...) {
			shown = append(shown, "["+b.Label+"]")
			if strings.HasPrefix(b.Data, peers.TapTake+":") {
				d.offer[o.Operator] = b.Data
			}
		}
		d.heard[o.Operator] = append(d.heard[o.Operator], strings.Join(shown, " "))
	}
	d.said = nil
}

// hears are the posts about two logs that an operator has got so far, each in one line.
func (d *town) hears(p townsman) string {
	var all []string
	for _, post := range d.heard[p.id] {
		for _, word := range []string{"differs", "differed", "have you", "has you", "agree now", "theirs, too", "compared"} {
			if strings.Contains(post, word) {
				at, text, _ := strings.Cut(post, ": ")
				all = append(all, at[:5]+" "+strings.Join(strings.Fields(text), " "))
				break
			}
		}
	}
	return strings.Join(all, "\n")
}

// logOf is what an operator's /log says now.
func (d *town) logOf(p townsman) string {
	d.t.Helper()
	d.tells(p, "/log")
	posts := d.heard[p.id]
	return posts[len(posts)-1]
}

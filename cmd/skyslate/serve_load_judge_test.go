//go:build unix

package main

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"skyslate/bot/telegram/apitest"
	"skyslate/storage"
)

// figure is a figure as it is printed.
type figure string

func inSeconds(d time.Duration) figure { return figure(fmt.Sprintf("%.2f s", d.Seconds())) }

func millis(d time.Duration) string {
	return fmt.Sprintf("%.0f ms", float64(d)/float64(time.Millisecond))
}

func megabytes(n int64) figure { return figure(fmt.Sprintf("%.1f MB", float64(n)/1e6)) }

func timed(do func()) figure {
	begun := time.Now()
	do()
	return inSeconds(time.Since(begun))
}

// loadGoals are the goals at 1,000, 10,000 and 100,000 operators, by how the names
// of the figures begin.
var loadGoals = map[string][3]string{
	"start to first poll":                    {"0.2 s", "0.5 s", "3 s"},
	"database":                               {"20 MB", "150 MB", "1500 MB"},
	"memory":                                 {"60 MB", "100 MB", "300 MB"},
	"processor to plan everybody from fresh": {"5 s", "50 s", "8 min"},
	"message to durable, 50 a second":        {"p99 10 ms", "p99 10 ms", "p99 20 ms"},
	"message to answer, 10 a second":         {"p99 1 s", "p99 1 s", "p99 2 s"},
	"backup":                                 {"1 s", "5 s", "60 s"},
	"longest piece of work":                  {"50 ms", "50 ms", "50 ms"},
	"SIGTERM":                                {"5 s", "5 s", "5 s"},
	"reminders sent, and how late":           {"60 s at most", "60 s at most", "60 s at most"},
	"lost, doubled, out of order, unanswered, after LOS": {"0 0 0 0 0", "0 0 0 0 0", "0 0 0 0 0"},
}

// figures are the rows of the table.
type figures struct {
	rows   [][2]string
	memory int64 // the most so far
}

func (f *figures) add(name string, value figure) {
	f.rows = append(f.rows, [2]string{name, string(value)})
}

// format is the table, with the goals of the number of operators that is nearest.
func (f *figures) format(operators int) string {
	column := 0
	for limit := 3000; operators > limit && column < 2; limit *= 10 {
		column++
	}
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 3, ' ', 0)
	fmt.Fprintln(w, "\tmeasured\tgoal")
	for _, row := range f.rows {
		goal := ""
		for name, goals := range loadGoals {
			if strings.HasPrefix(row[0], name) {
				goal = goals[column]
			}
		}
		fmt.Fprintf(w, "%s\t%s\t%s\n", row[0], row[1], goal)
	}
	w.Flush()
	return b.String()
}

// spread is the middle and the hundredth longest of some times.
func spread(all []time.Duration) figure {
	if len(all) == 0 {
		return "none"
	}
	slices.Sort(all)
	return figure(fmt.Sprintf("p50 %s, p99 %s, most %s (%d)",
		millis(all[len(all)/2]), millis(all[len(all)*99/100]), millis(all[len(all)-1]), len(all)))
}

// chatMessage names a message.
type chatMessage struct{ chat, id int64 }

// firstAnswers is when each message was answered first: with a message or a sign.
func firstAnswers(all []apitest.Deed) map[chatMessage]time.Time {
	first := map[chatMessage]time.Time{}
	for _, d := range all {
		m := chatMessage{d.Message.Chat.ID, 0}
		switch {
		case d.Method == "setMessageReaction" && d.Message.Mine():
			m.id = d.Message.ID
		case strings.HasPrefix(d.Method, "send") && d.Message.ReplyTo != nil:
			m.id = d.Message.ReplyTo.ID
		default:
			continue
		}
		if _, answered := first[m]; !answered {
			first[m] = d.At
		}
	}
	return first
}

func (l *load) chat(op int) int64 {
	id, _ := strconv.ParseInt(string(loadOperator(op)), 10, 64) // it is a number
	return id
}

func (l *load) unanswered(all []apitest.Deed) (n int) {
	first := firstAnswers(all)
	for op, heard := range l.heard {
		for _, m := range heard {
			if _, ok := first[chatMessage{l.chat(op), m.id}]; !ok {
				n++
			}
		}
	}
	return n
}

// down reports whether no program polled at some moment of a time.
func (l *load) down(from, to time.Time) bool {
	return slices.ContainsFunc(l.outages, func(o timespan) bool {
		return !o.to.IsZero() && from.Before(o.to) && to.After(o.from)
	})
}

// What is going on when a message comes in.
const (
	inFlood  = "50 a second"
	behind   = "while they are made up for"
	inCalm   = "10 a second"
	overGaps = "over the kill or the restart"
	wake     = "while the kill and the restart are made up for"
)

var loadPhases = []string{inFlood, behind, inCalm, overGaps, wake}

// phase is what was going on between a message and what came of it.
func (l *load) phase(begun, at, done time.Time) string {
	switch {
	case l.down(at, done):
		return overGaps
	case at.Before(begun.Add(floodFor())):
		return inFlood
	case at.Before(begun.Add(*loadFor * 2 / 5)):
		return behind
	case slices.ContainsFunc(l.wakes, func(w timespan) bool { return at.After(w.from) && at.Before(w.to) }):
		return wake
	}
	return inCalm
}

// madeUp are the times from the end of each outage until what was said before that
// end is answered.
func (l *load) madeUp(first map[chatMessage]time.Time) (wakes []timespan) {
	for _, o := range l.outages {
		if o.to.IsZero() {
			continue // the end
		}
		w := timespan{o.to, o.to}
		for op, heard := range l.heard {
			for _, m := range heard {
				if at := first[chatMessage{l.chat(op), m.id}]; m.at.Before(o.to) && at.After(w.to) {
					w.to = at
				}
			}
		}
		wakes = append(wakes, w)
	}
	return wakes
}

// verdict counts what must not be.
type verdict struct{ lost, doubled, disordered, unanswered, afterLOS int }

// judge compares what the service and the store hold with what was said.
func (l *load) judge(traffic timespan) {
	l.t.Helper()
	took := map[string][]time.Duration{}
	note := func(name string, at, done time.Time) {
		name += ", " + l.phase(traffic.from, at, done)
		took[name] = append(took[name], done.Sub(at))
	}
	deeds := l.server.Deeds()
	first := firstAnswers(deeds)
	l.wakes = l.madeUp(first)
	for _, w := range l.wakes {
		l.t.Logf("from %s on, %s long, an outage is made up for", w.from.Sub(traffic.from), w.to.Sub(w.from))
	}
	for _, h := range l.server.Handovers() {
		note("message to durable", h.Came, h.Confirmed)
	}
	v := verdict{unanswered: l.unanswered(deeds), doubled: l.repeated(deeds)}
	for op, heard := range l.heard {
		var before time.Time
		for _, m := range heard {
			if at, ok := first[chatMessage{l.chat(op), m.id}]; ok {
				note("message to answer", m.at, at)
				if late := at.Sub(m.at); late > time.Second && l.phase(traffic.from, m.at, at) == inCalm {
					l.t.Logf("%q of %s was answered after %s", m.text, m.at.Sub(traffic.from), late)
				}
				if at.Before(before) {
					v.disordered++
				}
				before = at
			}
		}
	}
	for _, name := range []string{"message to durable", "message to answer"} {
		for _, when := range loadPhases {
			l.table.add(name+", "+when, spread(took[name+", "+when]))
		}
	}
	if _, err := storage.Verify(l.data); err != nil {
		l.t.Error(err)
	}
	store, err := storage.OpenForRead(l.data)
	if err != nil {
		l.t.Fatal(err)
	}
	defer store.Close()
	var r reminded
	for op := range l.phones {
		err := store.View(func(view *storage.View) error {
			if err := l.judgeLog(view, op, &v); err != nil {
				return err
			}
			return l.judgeReminders(view, op, traffic, &r)
		})
		if err != nil {
			l.t.Error(err)
		}
	}
	v.afterLOS, v.lost = r.afterLOS, v.lost+r.passedOver(len(l.phones) > storm)
	l.table.add("reminders sent, and how late", spread(r.late))
	l.table.add("calls refused as too many", figure(strconv.FormatInt(l.rate.refused.Load(), 10)))
	l.table.add("lost, doubled, out of order, unanswered, after LOS",
		figure(fmt.Sprint(v.lost, v.doubled, v.disordered, v.unanswered, v.afterLOS)))
	if v != (verdict{}) {
		l.t.Errorf("%+v", v)
	}
}

// repeated is how many posts went out again although nothing was killed about when
// they went out first: an answer that nobody heard is asked for again.
func (l *load) repeated(all []apitest.Deed) (n int) {
	const inHand = 5 * time.Second // from a call's end to its being noted, at the most
	type post struct {
		chat, reply int64
		text        string
	}
	first := map[post]time.Time{}
	for _, d := range all {
		m := d.Message
		if !strings.HasPrefix(d.Method, "send") {
			continue
		}
		p := post{chat: m.Chat.ID, text: m.Text + m.Caption}
		if m.ReplyTo != nil {
			p.reply = m.ReplyTo.ID
		}
		at, again := first[p]
		if again && !l.down(at, at.Add(inHand)) {
			n++
			l.t.Logf("again in %d: %q", p.chat, p.text)
		}
		if !again {
			first[p] = d.At
		}
	}
	return n
}

// judgeLog compares the messages and the contacts of an operator with what was said.
func (l *load) judgeLog(view *storage.View, op int, v *verdict) error {
	id := loadOperator(op)
	var want []string
	for _, m := range l.heard[op] {
		kept, ok, err := view.Message(id, m.id)
		if err != nil {
			return err
		}
		if command := strings.HasPrefix(m.text, "/"); !command && (!ok || kept.Text != m.text) {
			v.lost++
			l.t.Logf("operator %s: message %d, %q, is %+v in the store", id, m.id, m.text, kept)
		}
		if m.call != "" {
			want = append(want, m.call)
		}
	}
	contacts, err := view.Contacts(id, time.Time{}, time.Now().Add(24*time.Hour))
	if err != nil {
		return err
	}
	contacts = slices.DeleteFunc(contacts, func(c storage.Contact) bool {
		return c.Message < 0 || c.State == storage.Dropped // seeded, or edited
	})
	for _, c := range contacts {
		if !c.Exported() {
			l.t.Logf("operator %s in %v is asked about %+v", id, l.sky.place(op).Grids, c)
		}
	}
	slices.SortFunc(contacts, func(a, b storage.Contact) int { return cmp.Compare(a.ID, b.ID) })
	var got []string
	for _, c := range contacts {
		got = append(got, c.Call.String())
	}
	if slices.Equal(want, got) {
		return nil
	}
	l.t.Logf("operator %s: contacts are\n%s, want\n%s", id, got, want)
	slices.Sort(want)
	slices.Sort(got)
	switch {
	case slices.Equal(want, got):
		v.disordered++
	case len(got) > len(want):
		v.doubled += len(got) - len(want)
	default:
		v.lost += max(1, len(want)-len(got))
	}
	return nil
}

// reminded is what became of the passes that reminders are of.
type reminded struct {
	late     []time.Duration
	last     time.Time   // the last moment asked for, of those that were sent
	undone   []time.Time // the moments asked for of those that were not
	afterLOS int
}

// passedOver is how many were not sent. In a storm the service's rate lets others wait,
// but none that was to come before one that was sent.
func (r reminded) passedOver(storm bool) (n int) {
	for _, due := range r.undone {
		if !storm || due.Before(r.last.Add(-time.Minute)) {
			n++
		}
	}
	return n
}

// judgeReminders notes by how much the reminders of an operator came late.
func (l *load) judgeReminders(view *storage.View, op int, traffic timespan, r *reminded) error {
	id := loadOperator(op)
	for _, m := range l.phones[op].Chat() {
		if m.Mine() {
			continue
		}
		post, ok, err := view.PostByApp(id, m.ID)
		if err != nil {
			return err
		}
		if post.Class != storage.ClassReminder || m.Silent && len(l.phones) <= storm {
			continue // in a storm they come early, and silently while another pass is at its best
		}
		pass, known, err := view.Pass(id, post.Pass)
		if err != nil {
			return err
		}
		if !ok || !known {
			continue // sent again since: see repeated
		}
		if due := pass.AOS.Add(-storage.DefaultRemind().Lead); due.After(traffic.from) {
			r.late = append(r.late, m.At.Sub(due))
			if due.After(r.last) {
				r.last = due
			}
		}
		if m.At.After(pass.LOS) {
			r.afterLOS++
		}
	}
	passes, err := view.Passes(id, traffic.from, traffic.to.Add(time.Hour))
	for _, p := range passes {
		due := p.AOS.Add(-storage.DefaultRemind().Lead)
		inTime := due.After(traffic.from) && due.Before(traffic.to.Add(-time.Minute))
		if inTime && p.Followed() && !p.Void && p.Decided.IsZero() {
			r.undone = append(r.undone, due)
			l.t.Logf("operator %s: pass %s was never decided", id, p.ID)
		}
	}
	return err
}

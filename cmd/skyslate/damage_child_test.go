package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/bot/guests"
	"skyslate/bot/rehearsal"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// damagedVar names a damaged store to the process that is to open it.
const damagedVar = "SKYSLATE_TEST_DAMAGED"

// afterDamage is what a process that opened a damaged store says of it.
type afterDamage struct {
	Before  string   // what verify said before
	Refused string   // the sentence of an opening that was refused
	Notices []string // of the opening
	Owner   bool     // there is one
	Members []storage.OperatorID
	New     map[storage.OperatorID]uint64   // the contact made of a message worked, by operator
	Unread  []string                        // messages that came to nothing
	Left    []string                        // new contacts that the next file leaves out
	Told    map[storage.OperatorID]string   // what the operators are owed, in one text
	Taken   map[storage.OperatorID][]string // the calls that are imported, by operator
	After   string                          // what verify said in the end
	Again   []string                        // notices of a second opening
}

// openDamaged opens a damaged store, works a message of each operator and the
// agenda, hands the log over, verifies and exports, and says what came of it.
func openDamaged(dir string) int {
	var a afterDamage
	a.Before = verdictOf(dir)
	if err := a.live(dir); err != nil {
		a.Refused = err.Error()
	} else {
		a.After = verdictOf(dir)
		store, err := storage.Open(dir)
		if err != nil {
			a.Again = []string{err.Error()}
		} else {
			a.Again = store.Notices()
			_ = store.Close()
		}
	}
	if err := json.NewEncoder(os.Stdout).Encode(a); err != nil {
		return 1
	}
	return 0
}

// verdictOf is what verify says on standard error; empty where all is sound.
func verdictOf(dir string) string {
	var out, err bytes.Buffer
	if run([]string{"verify", "-data", dir}, stdio{nil, &out, &err}) == 0 {
		return ""
	}
	return err.String()
}

func (a *afterDamage) live(dir string) error {
	store, err := storage.Open(dir)
	if err != nil {
		return err
	}
	defer store.Close()
	a.Notices = store.Notices()
	scene, err := rehearsal.Open(damagedOps[0])
	if err != nil {
		return err
	}
	desk := bot.New(bot.Config{Store: store, Sky: sky.New(scene.Birds, scene.Elements), Log: slog.New(slog.DiscardHandler)})
	door, err := guests.New(guests.Config{Desk: desk, CodeFile: filepath.Join(dir, "owner-code")})
	if err != nil {
		return err
	}
	a.Owner = door.HasOwner()
	for _, op := range append(damagedOps, damagedOut) {
		if door.Admits(op) {
			a.Members = append(a.Members, op)
		}
	}
	l := life{desk, store, scene.From.Add(48 * time.Hour)}
	a.New, a.Told = map[storage.OperatorID]uint64{}, map[storage.OperatorID]string{}
	a.Taken = map[storage.OperatorID][]string{}
	if err := l.toPass(damagedOps[0]); err != nil {
		return err
	}
	for n, op := range damagedOps {
		if err := a.message(l, n, op); err != nil {
			return err
		}
	}
	if err := l.pass(24 * time.Hour); err != nil {
		return err
	}
	if err := a.imported(l); err != nil {
		return err
	}
	return a.handOver(l)
}

// imported looks for what came of the documents.
func (a *afterDamage) imported(l life) error {
	return l.store.View(func(v *storage.View) error {
		for _, op := range damagedOps {
			contacts, err := v.Contacts(op, time.Time{}, l.now)
			if err != nil {
				return err
			}
			for _, c := range contacts {
				if c.State == storage.Remembered {
					a.Taken[op] = append(a.Taken[op], c.Call.String())
				}
			}
		}
		return nil
	})
}

// message works one contact of an operator, whom the damage may have made a
// newcomer.
func (a *afterDamage) message(l life, n int, op storage.OperatorID) error {
	var next uint64
	var known bool
	err := l.store.View(func(v *storage.View) (err error) {
		next = v.NextContact(op)
		o, _, err := v.Operator(op)
		known = o.Call.IsValid() // whoever lost that is asked for it
		return err
	})
	if err != nil || !known {
		return err
	}
	if err := l.say(op, int64(90_000+n), fmt.Sprintf("ox9zz%c kp15", 'a'+n)); err != nil {
		return err
	}
	return l.store.View(func(v *storage.View) error {
		_, ok, err := v.Contact(op, next)
		if a.New[op] = next; !ok {
			a.Unread = append(a.Unread, fmt.Sprintf("%s: contact %d was not made", op, next))
		}
		return err
	})
}

// handOver looks at the posts that are owed, and at the contacts that no file
// would hold.
func (a *afterDamage) handOver(l life) error {
	owed, err := l.store.Owed(l.now)
	if err != nil {
		return err
	}
	for _, p := range owed {
		a.Told[p.Operator] += p.Text + "\n"
	}
	return l.store.View(func(v *storage.View) error {
		for _, op := range slices.Sorted(slices.Values(damagedOps)) {
			var found bool
			err := v.VisitUnhanded(op, func(c storage.Contact) bool {
				found = found || c.ID == a.New[op]
				return true
			})
			if err != nil {
				return err
			}
			if a.New[op] != 0 && !found {
				a.Left = append(a.Left, fmt.Sprintf("%s: contact %d", op, a.New[op]))
			}
		}
		return nil
	})
}

// life is a desk over a store, in simulated time.
type life struct {
	desk  *bot.Desk
	store *storage.Store
	now   time.Time
}

// say lets an operator write, and works it.
func (l life) say(op storage.OperatorID, n int64, text string) error {
	raw, err := event.Encode(event.Event{
		ID: fmt.Sprintf("%s/%d", op, n), Operator: op, At: l.now, Kind: event.Said, Message: n, Text: text,
	})
	if err == nil {
		err = l.desk.Accept(nil, raw)
	}
	for more := true; err == nil && more; {
		more, err = l.desk.Work(l.now)
	}
	return err
}

// pass lets time go by.
func (l *life) pass(span time.Duration) error {
	for end := l.now.Add(span); l.now.Before(end); {
		l.now = l.now.Add(min(10*time.Minute, end.Sub(l.now)))
		if _, err := l.desk.Due(l.now); err != nil {
			return err
		}
	}
	return nil
}

// toPass lets time go by until a bird is up, if one comes within a day.
func (l *life) toPass(op storage.OperatorID) error {
	aos := l.now
	err := l.store.View(func(v *storage.View) error {
		passes, err := v.Passes(op, l.now, l.now.Add(24*time.Hour))
		for _, p := range passes {
			if p.AOS.After(l.now) && p.PeakElDeg > 20 {
				aos = p.AOS.Add(time.Minute)
				break
			}
		}
		return err
	})
	return errors.Join(err, l.pass(aos.Sub(l.now)))
}

// send brings out what is owed.
func (l life) send(first int64) error {
	owed, err := l.desk.Owed(l.now)
	for n, o := range owed {
		if err == nil {
			err = l.desk.Settled(o.Name, fmt.Sprint(first+int64(n)), l.now)
		}
	}
	return err
}

// The operators of the store that is damaged, and somebody who was put out.
var (
	damagedOps                    = []storage.OperatorID{"7001", "7002", "7003", "7004"}
	damagedOut storage.OperatorID = "7009"
)

// seedDamaged makes a store with a life behind it: operators who worked passes,
// edited and handed over, guests, a backup of each of three moments, posts that
// are owed and messages that wait.
func seedDamaged(dir string) error {
	store, err := storage.Open(dir)
	if err != nil {
		return err
	}
	defer store.Close()
	scene, err := rehearsal.Open(damagedOps[0])
	if err != nil {
		return err
	}
	desk := bot.New(bot.Config{Store: store, Sky: sky.New(scene.Birds, scene.Elements)})
	door, err := guests.New(guests.Config{Desk: desk, CodeFile: filepath.Join(dir, "owner-code")})
	if err != nil {
		return err
	}
	l := life{desk, store, scene.From}
	code, err := os.ReadFile(door.Awaits())
	if err == nil {
		err = hear(door, desk.Accept, l.now, damagedOps[0], strings.TrimSpace(string(code)), nil)
	}
	for n, op := range append(damagedOps[1:], damagedOut) {
		var code string
		err = errors.Join(err, hear(door, desk.Accept, l.now, damagedOps[0], "/invite", func(c string) string { code = c; return c }))
		err = errors.Join(err, hear(door, desk.Accept, l.now, op, code, nil))
		if n == 1 {
			_, backup := store.BackupTo("", l.now, 5)
			err = errors.Join(err, backup)
		}
	}
	for _, op := range damagedOps {
		me := scene.Operator
		me.ID = op
		err = errors.Join(err, desk.SetUp(me, l.now))
	}
	if err != nil {
		return err
	}
	return seedLog(l, door)
}

// hear lets somebody write to the door.
func hear(door *guests.Guests, accept guests.Accept, now time.Time, from storage.OperatorID, text string, link func(string) string) error {
	return door.Change(now, accept, func(d *guests.Draft) (map[string][]byte, []storage.Raw, error) {
		d.Hear(from, text, link)
		return nil, nil, nil
	})
}

// seedLog fills the log over a day, with backups on the way.
func seedLog(l life, door *guests.Guests) error {
	var errs []error
	do := func(err error) { errs = append(errs, err) }
	n := int64(100)
	sayAll := func(texts ...string) {
		for _, text := range texts {
			for _, op := range damagedOps {
				n++
				do(l.say(op, n, text))
			}
		}
	}
	backup := func() {
		_, err := l.store.BackupTo("", l.now, 5)
		do(err)
	}
	do(l.pass(14 * time.Minute))
	sayAll("ox9aaa kp15", "ox9aab kp25 ox9aac jo33", "ox9aad", "quiet today")
	do(l.send(1000))
	sayAll("/adif")
	do(l.send(2000))
	backup()
	sayAll("ox9aae kp16", "ox9aad is kp24", "ox9aaf kp17 loud")
	do(l.pass(6 * time.Hour))
	sayAll("/passes", "ox9aag kp18 10:47", "/adif")
	do(l.send(3000))
	do(hear(door, l.desk.Accept, l.now, damagedOps[0], "/invite off 4", nil))
	backup()
	do(l.pass(16 * time.Hour))
	do(l.toPass(damagedOps[0]))
	for k := range 12 {
		l.now = l.now.Add(10 * time.Second)
		sayAll(fmt.Sprintf("ox9b%c%c kp%d", 'a'+k, 'a'+k, 10+k))
	}
	do(l.send(4000))
	sayAll("/adif")
	do(l.send(5000))
	do(l.hand(damagedOps[1], damagedLog(damagedOps[1]))) // it is being read
	sayAll("ox9cca kp19", "/log")
	for k, op := range damagedOps { // they wait
		raw, err := event.Encode(event.Event{
			ID: fmt.Sprintf("%s/waits", op), Operator: op, At: l.now, Kind: event.Said, Message: int64(9000 + k), Text: "ox9ccb kp19",
		})
		do(err)
		do(l.desk.Accept(nil, raw))
	}
	do(l.hand(damagedOps[0], damagedLog(damagedOps[0])))
	return errors.Join(errs...)
}

// hand lets an operator send a log, which waits.
func (l life) hand(op storage.OperatorID, text string) error {
	id := string(op) + "/log"
	size, err := l.store.KeepDocument(id, strings.NewReader(text), event.MaxDocument)
	if err != nil {
		return err
	}
	raw, err := event.Encode(event.Event{
		ID: id, Operator: op, At: l.now, Kind: event.Handed, Message: 9100, File: &event.Document{Name: "log.adi", Size: size},
	})
	return errors.Join(err, l.desk.Accept(nil, raw))
}

// damagedLog is the invented log that an operator has sent.
func damagedLog(op storage.OperatorID) string {
	var text strings.Builder
	text.WriteString("An invented log <EOH>\n")
	for n, call := range damagedCalls(op) {
		fmt.Fprintf(&text, "<CALL:6>%s <QSO_DATE:8>20260401 <TIME_ON:6>0912%02d <GRIDSQUARE:4>KP15 <EOR>\n", call, n)
	}
	return text.String()
}

func damagedCalls(op storage.OperatorID) (calls []string) {
	for n := range 20 {
		calls = append(calls, fmt.Sprintf("OX9%c%cZ", 'A'+op[3]-'0', 'A'+n))
	}
	return calls
}

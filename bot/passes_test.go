package bot

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/filing"
	"skyslate/bot/say"
	"skyslate/bot/sky"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

// storedPasses are the operator's stored passes any part of which lies in a span.
func (f *field) storedPasses(from, to time.Time) (all []storage.Pass) {
	f.t.Helper()
	f.must(f.store.View(func(v *storage.View) (err error) {
		all, err = v.Passes("7", from, to)
		return err
	}))
	return all
}

// passesIn are the passes as rules see them, stored or not.
func (f *field) passesIn(from, to time.Time) (all []storage.Pass) {
	f.t.Helper()
	f.must(f.store.View(func(v *storage.View) error {
		t := tx.New(v, event.Event{Operator: "7", At: f.now}, f.desk.skies)
		all = t.PassesIn(from, to)
		return t.Err
	}))
	return all
}

// ofBird is the first of passes of a bird.
func ofBird(passes []storage.Pass, bird string) storage.Pass {
	for _, pass := range passes {
		if pass.Bird.Name == bird {
			return pass
		}
	}
	return storage.Pass{}
}

// Only what is followed, worked or asked about is stored.
func TestStoredPasses(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	stored, all := f.storedPasses(f.now, f.now.Add(3*tx.Day)), f.passesIn(f.now, f.now.Add(3*tx.Day))
	for _, pass := range stored {
		if !pass.Followed() {
			t.Errorf("%s is stored", pass.ID)
		}
	}
	if len(stored) != 12 || len(all) < 5*len(stored) {
		t.Errorf("%d of %d passes are stored, want the 12 that the rules choose", len(stored), len(all))
	}
	i := slices.IndexFunc(all, func(pass storage.Pass) bool { return !pass.Followed() && pass.PeakElDeg > 20 })
	free := all[i]
	f.until(free.TCA)
	f.say("OX9QZT JO33 " + free.Bird.Name)
	c := f.contacts()[0]
	worked := f.storedPasses(free.AOS, free.LOS)
	if !slices.ContainsFunc(worked, func(pass storage.Pass) bool { return pass.ID == c.Pass && pass.Is(free) && pass.Used }) {
		t.Errorf("the pass %s of the contact is not among the stored %v", c.Pass, worked)
	}
}

// A button names a pass by the AOS of when it was sent: fresher elements may have
// moved that since.
func TestButtonOfAPassThatMoved(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	var free storage.Pass
	for _, pass := range f.passesIn(f.now.Add(time.Hour), f.now.Add(tx.Day)) {
		if !pass.Followed() {
			free = pass
		}
	}
	for _, moved := range []time.Duration{0, 20 * time.Second, -20 * time.Second} {
		name := storage.NamePass(free.AOS.Add(moved), free.Bird.Catalog)
		f.event(event.Event{ID: fmt.Sprint("tap", moved), Kind: event.Tapped, Data: watch.TapTell + ":" + string(name)})
		if text := f.said[len(f.said)-1].Text; !strings.Contains(text, free.Bird.Name) {
			t.Errorf("moved by %s: %q", moved, text)
		}
	}
	name := storage.NamePass(free.AOS.Add(-30*time.Minute), free.Bird.Catalog)
	f.event(event.Event{ID: "none", Kind: event.Tapped, Data: watch.TapTell + ":" + string(name)})
	if text := f.said[len(f.said)-1].Text; text != say.OldButton {
		t.Errorf("a pass that never was: %q", text)
	}
}

// Passes of before a move are those over the place of then, stored or not.
func TestPassesOfBeforeAMove(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	before := f.passesIn(f.now, f.now.Add(6*time.Hour))
	f.until(f.now.Add(6 * time.Hour))
	f.say("/at IP62")
	f.until(f.now.Add(time.Hour))
	f.say("/at IP63")
	f.until(f.now.Add(time.Hour))
	begun := utc("2026-09-01T06:00:00Z")
	after := f.passesIn(begun, begun.Add(6*time.Hour))
	for i, pass := range before {
		if i >= len(after) || after[i].ID != pass.ID || !slices.Equal(after[i].Place.Grids, pass.Place.Grids) {
			t.Fatalf("of before\n%v\nare known\n%v", before, after)
		}
	}
	for _, pass := range f.passesIn(f.now, f.now.Add(tx.Day)) {
		if pass.AOS.After(f.now) && pass.Place.Grids[0].String() != "IP63" {
			t.Errorf("%s is over %v", pass.ID, pass.Place.Grids)
		}
	}
}

// A pass that a line was taken for just before it rose stays as it was then.
func TestUsedPassStays(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	pass := f.armed(f.now)
	for len(f.passesIn(pass.AOS.Add(-10*time.Second), pass.AOS)) > 0 { // nothing else is up
		pass = f.armed(pass.LOS)
	}
	f.until(pass.AOS.Add(-10 * time.Second))
	f.say("OX9QZT JO33")
	before := f.contacts()[0]
	f.say("/at JO73")
	f.until(pass.TCA)
	f.say("OX9QZV JO34 " + pass.Bird.Name)
	after := f.contacts()[0]
	kept := ofBird(f.storedPasses(pass.AOS, pass.LOS), pass.Bird.Name)
	if before.Pass != pass.ID || after.Pass != pass.ID || after.Version != before.Version {
		t.Errorf("the contact was of %s and is of %s, version %d", before.Pass, after.Pass, after.Version)
	}
	if !kept.AOS.Equal(pass.AOS) || kept.Void {
		t.Errorf("the pass is %+v", kept)
	}
}

// What an older program stored of all passes goes, but for those that contacts, or
// sittings with contacts, lean on.
func TestPassesThatNothingStandsOn(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	f.until(utc("2026-09-02T06:00:00Z"))
	all := f.passesIn(utc("2026-09-01T06:00:00Z"), f.now.Add(2*tx.Day))
	f.must(f.store.Commit("older", f.now, storage.Changes{Passes: slices.DeleteFunc(all, storage.Pass.Followed)}))
	f.say("/passes")
	for _, pass := range f.storedPasses(f.now, f.now.Add(3*tx.Day)) {
		if !pass.Followed() {
			t.Errorf("%s is kept", pass.ID)
		}
	}
	f.until(f.passesIn(f.now, f.now.Add(tx.Day))[0].TCA)
	f.say("OX9QZT JO33")
	worked := f.now
	f.until(f.now.Add(6 * tx.Day))
	var kept int
	for _, pass := range f.storedPasses(utc("2026-09-01T06:00:00Z"), f.now.Add(-4*tx.Day)) {
		kept++
		if pass.AOS.Sub(worked).Abs() > 14*time.Hour {
			t.Errorf("%s is kept", pass.ID)
		}
	}
	if c := f.contacts()[0]; kept == 0 || ofBird(f.storedPasses(worked, worked.Add(time.Second)), c.Bird.Name).ID != c.Pass {
		t.Errorf("%d kept, not that of the contact", kept)
	}
}

// Fresher elements that move a pass by less than a second store nothing anew, and
// those that move it more do.
func TestFresherElements(t *testing.T) {
	for _, tt := range []struct {
		turned float64 // mean anomaly, degrees
		moved  bool
	}{{0.001, false}, {1, true}} {
		shared := inventedSky(t)
		f := newField(t, "2026-09-01T06:00:00Z")
		f.desk.skies = sky.NewSkies(shared, f.desk.log)
		before := f.storedPasses(f.now, f.now.Add(3*tx.Day))
		var fresher []predict.Elements
		for _, bird := range shared.Birds() {
			if e, ok := shared.Elements(bird.Catalog); ok {
				e.Epoch, e.MeanAnomalyDeg = e.Epoch.Add(time.Microsecond), e.MeanAnomalyDeg+tt.turned
				fresher = append(fresher, e)
			}
		}
		shared.Replace(fresher)
		f.must(f.desk.Replan(f.now))
		f.until(f.now.Add(time.Minute))
		after := f.storedPasses(f.now, f.now.Add(3*tx.Day))
		same := slices.EqualFunc(before, after, func(a, b storage.Pass) bool { return a.ID == b.ID && a.AOS.Equal(b.AOS) })
		if same == tt.moved {
			t.Errorf("turned by %v°: moved %v, want %v", tt.turned, !same, tt.moved)
		}
		if len(before) != len(after) || before[0].ID != after[0].ID {
			t.Errorf("turned by %v°: a pass lost its name", tt.turned)
		}
	}
}

// Many operators are planned one after the other, in slices; what an event puts on
// the agenda is bounded.
func TestReplanOfMany(t *testing.T) {
	const operators = 2*watch.PlannedAtOnce + 7
	f := newField(t, "2026-09-01T06:00:00Z")
	for i := range operators - 1 {
		f.must(f.desk.SetUp(storage.Operator{
			ID: storage.OperatorID(fmt.Sprint(100 + i)), Joined: f.now, Cautioned: f.now, Call: parse.MustParseCallsign("HX7KZQ"),
			Place: placeAt("JO62"), Remind: storage.DefaultRemind(),
		}, f.now))
	}
	f.until(f.now.Add(time.Minute))
	begun := f.now
	f.must(f.desk.Replan(f.now))
	for {
		next, ok, err := f.desk.Next()
		f.must(err)
		if !ok || next.After(begun.Add(operators*watch.PlannedApart)) {
			break
		}
		if due, err := f.store.Due(next, operators); err != nil || len(due) > watch.PlannedAtOnce+1 {
			t.Fatalf("%d moments at once, %v", len(due), err)
		}
		f.now = timing.Later(f.now, next)
		_, err = f.desk.Due(f.now)
		f.must(err)
	}
	f.must(f.store.View(func(v *storage.View) error {
		all, err := v.Operators()
		for _, op := range all {
			if !op.Agenda.After(begun) || op.Agenda.Before(begun.Add(tx.Day)) {
				t.Errorf("%s was not planned anew", op.ID)
			}
		}
		return err
	}))
}

// Whoever joins while a slow bird has been up for hours finds its pass by its name, and
// logs on it: a name tells AOS, which was seen from no place of theirs.
func TestPassThatRoseBeforeJoining(t *testing.T) {
	now := utc("2026-09-01T12:00:00Z")
	slow := predict.Bird{
		Name: "STILE-9", LogName: "STILE-9", Catalog: 99309, Status: predict.Status{On: true},
		Transponders: []predict.Transponder{{Kind: predict.FM, Mode: "FM", UplinkMHz: 145.9, DownlinkMHz: 435.3}},
	}
	orbit := predict.Elements{
		Name: "INVENTED ORBIT", Catalog: 99309, Epoch: now, MeanMotion: 2, Eccentricity: 0.3, InclinationDeg: 63, ArgPerigeeDeg: 270,
	}
	f := &field{t: t, store: storagetest.Open(t), now: now}
	f.desk = New(Config{Store: f.store, Sky: sky.New([]predict.Bird{slow}, []predict.Elements{orbit})})
	place := placeAt("JO62")
	table, err := predict.NewEphemeris(orbit, now.Add(-tx.Day), now.Add(2*tx.Day))
	f.must(err)
	passes := table.Passes(sky.Site(place), now, now.Add(tx.Day), 0)
	i := slices.IndexFunc(passes, func(p predict.Pass) bool { return p.LOS.Sub(p.AOS) > 5*time.Hour })
	f.now = passes[i].AOS.Add(4 * time.Hour)
	f.must(f.desk.SetUp(storage.Operator{
		ID: "7", Joined: f.now, Cautioned: f.now, Call: parse.MustParseCallsign("HX7KZQ"), Place: place, Remind: storage.DefaultRemind(),
	}, f.now))
	f.until(f.now)
	f.say("OX9QZT JO33")
	if all := f.contacts(); len(all) != 1 || all[0].Pass == "" || all[0].State != storage.Certain {
		t.Errorf("logged: %+v", all)
	}
}

// Passes that were followed and that nobody worked are let go after some days; one
// that was worked stays.
func TestPassesNobodyWorkedAreLetGo(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	begin := f.now
	pass := f.armed(f.now)
	f.until(pass.TCA)
	f.say("hx7abc jo33")
	f.until(begin.Add(4 * tx.Day))
	if n := len(f.storedPasses(begin, begin.Add(2*tx.Day))); n < 3 {
		t.Fatalf("%d passes are stored after four days", n)
	}
	f.until(begin.Add(12 * tx.Day))
	var left []string
	for _, p := range f.storedPasses(begin, begin.Add(7*tx.Day)) {
		if p.ID != pass.ID && p.AOS.Sub(pass.AOS).Abs() > filing.LookBack+2*time.Hour {
			left = append(left, string(p.ID))
		}
	}
	if len(left) > 0 {
		t.Errorf("still stored: %q", left)
	}
	if c := f.contacts(); len(c) != 1 || c[0].Pass != pass.ID {
		t.Errorf("contacts: %v", c)
	}
	if got := f.storedPasses(pass.AOS, pass.LOS); !slices.ContainsFunc(got, func(p storage.Pass) bool { return p.ID == pass.ID }) {
		t.Error("the pass that was worked is gone")
	}
}

// Of a pass that is up already the reminder is made before the card: what is owed is sent
// while the rest is still being made.
func TestReminderIsMadeBeforeTheCard(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	f.now = utc("2026-09-01T13:15:00Z") // OCHRE-1 is up; nobody looked at the agenda since
	op := f.operator()
	op.ID = "8"
	f.must(f.desk.SetUp(op, f.now))
	var made []storage.Class
	for worked := true; worked; {
		var err error
		worked, err = f.desk.Moment(f.now)
		f.must(err)
		owed, err := f.store.Owed(f.now)
		f.must(err)
		for _, p := range owed {
			known := slices.Contains(made, p.Class)
			if p.Operator == "8" && !known && (p.Class == storage.ClassReminder || p.Class == storage.ClassCard) {
				made = append(made, p.Class)
			}
		}
	}
	if want := []storage.Class{storage.ClassReminder, storage.ClassCard}; !slices.Equal(made, want) {
		t.Errorf("made in the order %v, want %v", made, want)
	}
}

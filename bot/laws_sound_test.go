package bot

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"skyslate/bot/sky"
	"skyslate/bot/sound"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// TestLawOfSounds holds over random outings, with passes armed and skipped by hand
// on the way, reminders taken early as in a storm, and posts that go out late:
//
//   - of a pass at most one post sounds;
//   - none sounds while another pass that is followed stands above 15°;
//   - each pass that is followed is told in a reminder;
//   - the calendar has an alarm for each pass, and none while another stands above 15°.
//
// How high a bird stands is looked up for each moment, not taken from the spans that
// the reminders are decided by.
func TestLawOfSounds(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p := newPlayer(t)
		from, hours := rapid.IntRange(2, 23).Draw(r, "from"), rapid.IntRange(1, 5).Draw(r, "hours")
		p.now = utc("2026-09-01T00:00:00Z").Add(time.Duration(from-2-rapid.IntRange(0, 2).Draw(r, "before")) * time.Hour)
		p.play(nil)
		defer p.close()
		l := listener{player: p, r: r, sounds: map[storage.PassID][]string{}, told: map[storage.PassID]bool{}, up: map[storage.PassID]bool{}}
		l.say(fmt.Sprint("/remind ahead ", rapid.SampledFrom([]int{1, 5, 10, 10, 20, 45, 60, 120}).Draw(r, "ahead")))
		l.say("/remind birds " + rapid.SampledFrom([]string{"on", "OCHRE-1", "OCHRE-1 OCHRE-2 UMBER-A SIENNA CELADON PERSE-5"}).Draw(r, "birds"))
		l.say("/remind " + rapid.SampledFrom([]string{"every day", "tue off", "tue after 12", "only on weekends"}).Draw(r, "days"))
		place := rapid.SampledFrom([]string{"JO62", "JO62+JO72", "JN99", "KP03", "JF96"}).Draw(r, "place")
		l.say(fmt.Sprintf("/outing %s 2026-09-01 %d-%d", place, from, (from+hours)%24))
		l.press(fmt.Sprint(watch.TapOuting, ":", l.field.sent), "arm")
		end := l.now.Add(time.Duration(hours+2) * time.Hour)
		for n := 0; l.now.Before(end); n++ {
			l.listen(l.now.Add(time.Duration(rapid.IntRange(1, 4*60).Draw(r, "wait")) * time.Minute))
			if ahead := l.passesIn(l.now, l.now.Add(3*time.Hour)); len(ahead) > 0 {
				pass := rapid.SampledFrom(ahead).Draw(r, "pass")
				verb := rapid.SampledFrom([]string{watch.TapArm, watch.TapArm, watch.TapSkip}).Draw(r, "verb")
				l.press(verb+":"+string(pass.ID), fmt.Sprint("hand", n))
				l.hear()
			}
		}
		for id, up := range l.up {
			if up && !l.told[id] {
				r.Fatalf("%s was followed and is in no reminder", id)
			}
		}
	})
}

// A listener notes what sounds.
type listener struct {
	*player
	r      *rapid.T
	heard  int // of what was said
	sounds map[storage.PassID][]string
	told   map[storage.PassID]bool
	up     map[storage.PassID]bool // followed passes that have risen
}

// listen lets time pass as field.until does, but for reminders that are taken before
// their moment and posts that go out behind it.
func (l *listener) listen(until time.Time) {
	for {
		next, ok, err := l.desk.Next()
		l.must(err)
		if !ok || next.After(until) {
			break
		}
		l.now = timing.Later(l.now, next)
		l.storm()
		_, err = l.desk.Due(l.now)
		l.must(err)
		if rapid.IntRange(0, 9).Draw(l.r, "late") == 0 {
			l.now = l.now.Add(time.Duration(rapid.IntRange(1, 120).Draw(l.r, "by")) * time.Second)
		}
		l.deliver()
		l.hear()
		for _, pass := range l.storedPasses(l.now, l.now.Add(time.Second)) {
			l.up[pass.ID] = l.up[pass.ID] || pass.Followed() && !pass.Void
		}
	}
	l.now = timing.Later(l.now, until)
}

// storm takes some of the reminders that fall due soon.
func (l *listener) storm() {
	if rapid.IntRange(0, 19).Draw(l.r, "storm") > 0 {
		return
	}
	planned, err := l.store.Planned(tx.MomentRemind+"/", l.now, l.now.Add(sound.Earliest))
	l.must(err)
	for _, it := range planned {
		l.must(l.desk.MomentAhead(it.Key, l.now))
	}
}

// hear looks at what was said since it was called last.
func (l *listener) hear() {
	said := l.said[l.heard:]
	l.heard = len(l.said)
	for _, o := range said {
		if strings.HasSuffix(o.FileName, ".ics") {
			l.checkAlarms(string(o.Body))
		}
		early, reminder := strings.HasPrefix(o.Name, "7/early/"), strings.HasPrefix(o.Name, "7/remind/")
		if !o.Silent && !early && !reminder {
			l.r.Fatalf("%s sounds", o.Name)
		}
		for _, id := range l.tells(o, early) {
			l.told[id] = l.told[id] || reminder
			if o.Silent {
				continue
			}
			if l.sounds[id] = append(l.sounds[id], fmt.Sprint(l.now, o.Text)); len(l.sounds[id]) > 1 {
				l.r.Fatalf("%s sounds more than once: %v", id, l.sounds[id])
			}
		}
		if !o.Silent {
			l.nothingIsHigh(o)
		}
	}
}

// tells are the passes that a post tells of: a reminder offers to skip each.
func (l *listener) tells(o Outgoing, early bool) (ids []storage.PassID) {
	if early {
		return []storage.PassID{storage.PassID(strings.TrimPrefix(o.Name, "7/early/"))}
	}
	for _, row := range o.Buttons {
		for _, b := range row {
			if id, ok := strings.CutPrefix(b.Data, watch.TapSkip+":"); ok && strings.HasPrefix(o.Name, "7/remind/") {
				ids = append(ids, storage.PassID(id))
			}
		}
	}
	return ids
}

// nothingIsHigh: no followed pass stands high now but the one that falls due.
func (l *listener) nothingIsHigh(o Outgoing) {
	for _, pass := range l.storedPasses(l.now, l.now.Add(time.Second)) {
		if !pass.Followed() || pass.Void || strings.HasSuffix(o.Name, "/"+string(pass.ID)) {
			continue
		}
		if el := l.elevation(pass, l.now); el > 15.01 {
			l.r.Fatalf("%s sounds at %s with %s at %.2f°:\n%s", o.Name, l.now, pass.ID, el, o.Text)
		}
	}
}

var calendarLines = regexp.MustCompile(`(?m)^(?:UID:([^.]*)\.|DTSTART:(.*)\r|TRIGGER:-PT(.*)S\r)`)

// checkAlarms looks at a calendar file that has just been made.
func (l *listener) checkAlarms(file string) {
	entries := strings.Split(file, "BEGIN:VEVENT")[1:]
	var passes []storage.Pass
	var alarms []time.Time
	for _, entry := range entries {
		found := calendarLines.FindAllStringSubmatch(entry, -1)
		if len(found) != 3 {
			l.r.Fatalf("not one alarm in %s", entry)
		}
		start, err := time.Parse("20060102T150405Z", found[1][2])
		l.must(err)
		ahead, err := time.ParseDuration(found[2][3] + "s")
		l.must(err)
		pass, ok := l.storedPass(storage.PassID(found[0][1]))
		if !ok || ahead <= 0 {
			l.r.Fatalf("an alarm %s ahead of %s", ahead, found[0][1])
		}
		passes, alarms = append(passes, pass), append(alarms, start.Add(-ahead))
	}
	for i, at := range alarms {
		for j, other := range passes {
			if el := l.elevation(other, at); i != j && other.Up(at) && el > 15.1 {
				l.r.Fatalf("the alarm of %s, at %s, is in %s at %.2f°", passes[i].ID, at, other.ID, el)
			}
		}
	}
}

func (l *listener) storedPass(id storage.PassID) (pass storage.Pass, ok bool) {
	l.must(l.store.View(func(v *storage.View) (err error) {
		pass, ok, err = v.Pass("7", id)
		return err
	}))
	return pass, ok
}

func (l *listener) elevation(pass storage.Pass, at time.Time) float64 {
	table, err := l.sky.Ephemeris(pass.Bird.Catalog, pass.AOS, pass.LOS)
	l.must(err)
	return table.Look(sky.Site(pass.Place), at).ElDeg
}

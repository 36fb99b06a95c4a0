package bot

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

const (
	textOutingUse = `A day out? Say where, when, and if you
like which birds and wanted grids:
/outing IP73 29 May 9-15 JO43
Hours are local there. You see what
passes and arm it with one tap.`
	textOutingWhere   = "Where to? Name the grid of the place\nfirst: /outing IP73 29 May 9-15"
	textOutingWhen    = "Which day? Such as 29 May, 2027-05-29,\nsat or tomorrow."
	labelCalendarAnew = "Calendar file anew"
	textManyOutings   = "You have planned enough days out.\nCall one off first."
)

func badOutingText(word string) string {
	return strings.Join(wrap(fmt.Sprintf("“%s”: I expected a grid, a bird, a day or hours, such as /outing IP73 29 May 9-15", noteText(word, 16)), ""), "\n")
}

func outingRangeText(o storage.Outing, loc *time.Location) string {
	return strings.Join(wrap(fmt.Sprintf("%s is not within %d days from now: no elements serve for that.",
		o.From.In(loc).Format("2 Jan 2006 15:04"), int(outingAhead/day)), ""), "\n")
}

// outingDay names an outing by day and place.
func outingDay(o storage.Outing) string {
	return o.From.In(zoneOf(o.Place)).Format("Mon 2 Jan") + " " + gridList(o.Place.Grids)
}

func outingHours(o storage.Outing) string {
	loc := zoneOf(o.Place)
	hour := func(t time.Time) string { return strings.TrimSuffix(t.In(loc).Format("15:04"), ":00") }
	until := hour(o.Until)
	if until == "00" {
		until = "24"
	}
	return hour(o.From) + "–" + until + " h " + zoneName(o.From, loc)
}

func armOutingLabel(o storage.Outing, n int) string {
	return fmt.Sprintf("Arm %s at %s", countPasses(n), gridList(o.Place.Grids))
}

func callOffLabel(o storage.Outing) string     { return "Call off " + outingDay(o) }
func thereLabel(place storage.Place) string    { return "I am in " + gridList(place.Grids) }
func notThereLabel(place storage.Place) string { return "No, in " + gridList(place.Grids) }
func outingOffText(o storage.Outing) string {
	return clip("Called off: "+outingDay(o)+".", textColumns)
}

func elsewhereOutingText(p storage.Place) string {
	return "Passes and log for " + gridList(p.Grids) + "."
}

// outingsText lists the outings that are armed.
func outingsText(all []storage.Outing) string {
	var lines []string
	for _, o := range all {
		lines = append(lines, wrap("Armed: "+outingDay(o)+", "+outingHours(o), "  ")...)
	}
	return strings.Join(append(lines, textOutingUse), "\n")
}

// outingText lists an outing's passes in their order: UTC and local AOS, peak,
// directions, and when a grid wanted is in common view.
func outingText(o storage.Outing, passes []passing, refused string) string {
	day := outingDay(o) + ", " + outingHours(o)
	if !o.Armed.IsZero() {
		day = "Armed: " + day
	}
	head := wrap(day, "  ")
	if len(passes) == 0 {
		return fitted(strings.TrimRight(strings.Join(append(head, wrap("No pass of these birds then, not even a low one.", "")...), "\n")+"\n"+refused, "\n"))
	}
	head = append(head, "UTC   local bird, peak, from–to")
	var foot []string
	if overlap(passes) {
		foot = append(foot, "= overlaps the one before")
	}
	if refused != "" {
		foot = append(foot, strings.Split(refused, "\n")...)
	}
	for _, full := range []bool{true, false} {
		rows := outingRows(passes, zoneOf(o.Place), full)
		if over := len(head) + len(rows) + len(foot) - textLines; over > 0 && full && len(passes[0].wanted) > 0 {
			continue
		} else if over > 0 {
			keep := len(rows) - over - 1
			rows = append(rows[:max(keep, 0)], fmt.Sprintf("… and %d more", len(passes)-max(keep, 0)))
		}
		return fitted(strings.Join(slices.Concat(head, rows, foot), "\n"))
	}
	return ""
}

// overlap reports whether two passes that follow each other do.
func overlap(passes []passing) bool {
	for i := range passes {
		if overlaps(passes, i) {
			return true
		}
	}
	return false
}

func overlaps(passes []passing, i int) bool {
	return i > 0 && passes[i].pass.AOS.Before(passes[i-1].pass.LOS)
}

// outingRows are the passes, a line each, those that overlap the one before with
// a sign, and if wished below each when the grids wanted are in common view.
func outingRows(passes []passing, loc *time.Location, windows bool) []string {
	var lines []string
	width := 0
	for _, p := range passes {
		width = min(max(width, utf8.RuneCountInString(p.bird.Name)), 12)
	}
	for i, p := range passes {
		sign := " "
		if overlaps(passes, i) {
			sign = "="
		}
		name := clip(p.bird.Name, width)
		lines = append(lines, fmt.Sprintf("%s%s %s %-*s %3s %s–%s", sign, shortClock(p.pass.AOS),
			p.pass.AOS.In(loc).Round(time.Second).Format("15:04"), width, name, degrees(p.pass.PeakElDeg),
			predict.CompassPoint(p.look(p.pass.AOS).AzDeg), predict.CompassPoint(p.look(p.pass.LOS).AzDeg)))
		if words := reachedWords(p, p.wanted); windows && len(words) > 0 {
			for _, line := range wrap(strings.Join(words, ", "), "") {
				lines = append(lines, clip("   "+line, textColumns))
			}
		}
	}
	return lines
}

// The heads of a pass's timetable: as it is sent first, where it is another than
// the one sent before, and where the pass is one more.
func sheetHead(p passing, n, of int) string {
	return fmt.Sprintf("%s, %d of %d", sheetName(p.pass), n, of)
}

func sheetMovedHead(p passing, later time.Duration) string {
	word, by := "later", later.Round(time.Second)
	if by < 0 {
		word, by = "earlier", -by
	}
	text := fmt.Sprintf("%d s", int(by/time.Second))
	if by >= 2*time.Minute {
		text = minutes(by.Round(time.Minute))
	}
	return fmt.Sprintf("New timetable, %s %s: %s", text, word, sheetName(p.pass))
}

func sheetNewHead(p passing) string { return "One more: " + sheetName(p.pass) }

func sheetName(p storage.Pass) string { return p.AOS.UTC().Format("Mon 2 Jan") + " " + p.Bird.Name }

func sheetGoneText(p storage.Pass) string {
	return strings.Join(wrap(fmt.Sprintf("No longer takes place at %s: %s, AOS %s UTC.", gridList(p.Place.Grids), sheetName(p), shortClock(p.AOS)), ""), "\n")
}

func moreSheetsText(n int) string {
	return strings.Join(wrap(fmt.Sprintf("%s more, in the calendar file alone.", countPasses(n)), ""), "\n")
}

// sheetText is a pass of an outing under its head so that nothing else is needed
// to work it, whenever it is read.
func sheetText(p passing, head string, call parse.Callsign) string {
	loc := zoneOf(p.pass.Place)
	var lines []string
	for _, t := range thrifts {
		lines = slices.Concat(
			wrap(head, "  "),
			ageLines(p.table.Elements(), p.pass.TCA),
			momentLines(p.pass, loc),
			extraLines(p, t.bare),
			tuningLines(p.radio(), rasterOf(p.rig)),
			timetable(p, p.pass.AOS.Add(-time.Hour), t),
			slateLines(p.pass, call, t),
		)
		if len(lines) <= textLines {
			break
		}
	}
	return strings.Join(lines, "\n")
}

// earlyText is the reminder well ahead.
func earlyText(p passing, now time.Time) string {
	lines := wrap(fmt.Sprintf("%s: %s rises %s in the %s, peak %s", gridList(p.pass.Place.Grids), p.bird.Name, until(p.pass.AOS, now),
		predict.CompassPoint(p.look(p.pass.AOS).AzDeg), degrees(p.pass.PeakElDeg)), "")
	lines = append(lines, momentLines(p.pass, zoneOf(p.pass.Place))...)
	lines = append(lines, tuningLines(p.radio(), rasterOf(p.rig))...)
	return strings.Join(append(lines, wantedLines(p)...), "\n")
}

func askThereText(own, out storage.Place) string {
	return strings.Join(wrap(fmt.Sprintf("Logged as from %s, but your outing is at %s. Where are you?", gridList(own.Grids), gridList(out.Grids)), ""), "\n")
}

func arrivedText(place storage.Place, moved int) string {
	text := "You are in " + gridList(place.Grids) + "."
	if moved > 0 {
		text += fmt.Sprintf(" %s put right.", upperFirst(count(moved, "contact")))
	}
	return strings.Join(wrap(text, ""), "\n")
}

package main

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"skyslate/predict"
)

// The text is made for a screen of 38 columns.

func (q passesQuery) textPasses(passes []sighting, w io.Writer) error {
	out := bufio.NewWriter(w)
	if len(passes) == 0 {
		fmt.Fprintln(out, "No pass in these hours.")
	}
	day := ""
	for _, s := range passes {
		day = printDay(out, day, cmp.Or(s.AOS, s.TCA))
		fmt.Fprintf(out, "\n%s%s\n", s.Name, lasting(s.Duration()))
		printMoment(out, "AOS", s.AOS, s.AtAOS, "")
		printMoment(out, "TCA", s.TCA, s.AtTCA, fmt.Sprintf("  %.0f° up %.0f km", s.AtTCA.ElDeg, s.AtTCA.RangeKm))
		printMoment(out, "LOS", s.LOS, s.AtLOS, "")
		printLight(out, s.light())
		for _, mhz := range q.mhz {
			fmt.Fprintf(out, "%.4f MHz is received on\n", mhz)
			for _, step := range s.in.Steps(q.at.site, s.Pass, mhz, dialStepKHz, predict.Receive) {
				fmt.Fprintf(out, "    %s  %.3f  %+.1f kHz\n", clock(step.At), step.DialMHz, step.OffsetKHz)
			}
		}
	}
	return out.Flush()
}

// printDay prints the date if it is another than that of the line before.
func printDay(w io.Writer, before string, t time.Time) string {
	day := t.UTC().Round(time.Second).Format("Mon 2 Jan 2006")
	if day != before {
		fmt.Fprintf(w, "\n= %s, UTC =\n", day)
	}
	return day
}

func lasting(d time.Duration) string {
	if d <= 0 {
		return ""
	}
	d = d.Round(time.Second)
	return fmt.Sprintf(", %d min %d s", int(d.Minutes()), int(d.Seconds())%60)
}

func printMoment(w io.Writer, name string, t time.Time, l predict.Look, more string) {
	if t.IsZero() {
		fmt.Fprintf(w, "%s never\n", name)
		return
	}
	fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%s %s  %s%s", name, clock(t), direction(l.AzDeg), more), " "))
}

func clock(t time.Time) string { return t.UTC().Round(time.Second).Format(time.TimeOnly) }

func direction(azDeg float64) string {
	return fmt.Sprintf("%3.0f° %-3s", math.Mod(math.Round(azDeg), 360), predict.CompassPoint(azDeg))
}

func printLight(w io.Writer, light []predict.Light) {
	for i, l := range light {
		word := "in shadow"
		if l.Lit {
			word = "in sunlight"
		}
		if i > 0 {
			word += " from " + clock(l.At)
		}
		fmt.Fprintln(w, word)
	}
}

func (q passesQuery) textWindows(windows []predict.Window, w io.Writer) error {
	out := bufio.NewWriter(w)
	if len(windows) == 0 {
		fmt.Fprintln(out, "No common window in these hours.")
	}
	day := ""
	for _, win := range windows {
		day = printDay(out, day, win.Start)
		fmt.Fprintf(out, "\n%s%s\n", win.Name, lasting(win.End.Sub(win.Start)))
		fmt.Fprintf(out, "%s to %s\n", clock(win.Start), clock(win.End))
		fmt.Fprintf(out, "  here   %s  %.0f° up\n", direction(win.AtMid.AzDeg), win.AtMid.ElDeg)
		fmt.Fprintf(out, "  there  %s  %.0f° up\n", direction(win.WithMid.AzDeg), win.WithMid.ElDeg)
	}
	return out.Flush()
}

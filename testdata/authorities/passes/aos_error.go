//go:build ignore

// This program draws aos_error.png: how far the AOS that package predict finds
// is from the one in passes.csv, over all reference passes, a panel for each
// satellite. Run it from the top of the repository:
//
//	go run testdata/authorities/passes/aos_error.go
package main

import (
	"encoding/csv"
	"fmt"
	"image/color"
	"log"
	"math"
	"os"
	"time"

	"git.sr.ht/~sbinet/gg"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"

	"skyslate/predict"
)

const (
	dir    = "testdata/authorities/passes/"
	width  = 1200
	left   = 190
	right  = 40
	top    = 110
	panel  = 120
	gap    = 26
	mostMs = 1.0 // the panels reach from minus to plus this
)

var from = time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC)

const hours = 48

// point is one pass: its AOS in the table and ours less it.
type point struct {
	at  time.Time
	off time.Duration
}

func main() {
	log.SetFlags(0)
	names, points := compare()
	height := top + len(names)*(panel+gap) + 70
	c := gg.NewContext(width, height)
	c.SetColor(color.White)
	c.Clear()
	c.SetColor(color.Black)
	write := func(text string, x, y, anchor, size float64) {
		c.SetFontFace(face(size))
		c.DrawStringAnchored(text, x, y, anchor, 0.35)
	}
	n, worst := 0, time.Duration(0)
	for i, name := range names {
		drawPanel(c, write, name, points[name], float64(top+i*(panel+gap)))
		for _, p := range points[name] {
			n, worst = n+1, max(worst, p.off.Abs())
		}
	}
	c.SetColor(color.Black)
	write(fmt.Sprintf("AOS found less AOS of the table, ms: %d passes, greatest %.2f ms", n, float64(worst)/1e6), left, 40, 0, 26)
	write("grey: what the table's rounding to 1 ms allows", left, 76, 0, 20)
	bottom := float64(height - 60)
	for h := 0; h <= hours; h += 6 {
		write(fmt.Sprint(h), xOf(from.Add(time.Duration(h)*time.Hour)), bottom, 0.5, 20)
	}
	write("hours from 2026-09-01T00:00Z", (left+width-right)/2, bottom+34, 0.5, 20)
	if err := c.SavePNG(dir + "aos_error.png"); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%d passes, greatest difference %v\n", n, worst)
}

func drawPanel(c *gg.Context, write func(string, float64, float64, float64, float64), name string, points []point, y float64) {
	yOf := func(ms float64) float64 { return y + panel/2 - ms/mostMs*panel/2 }
	c.SetRGB(0.87, 0.87, 0.87)
	c.DrawRectangle(left, yOf(0.5), width-left-right, yOf(-0.5)-yOf(0.5))
	c.Fill()
	c.SetColor(color.Black)
	c.SetLineWidth(1)
	c.DrawRectangle(left, y, width-left-right, panel)
	c.DrawLine(left, yOf(0), width-right, yOf(0))
	c.Stroke()
	write(name, 12, y+panel/2, 0, 22)
	for _, ms := range []float64{-mostMs, 0, mostMs} {
		write(fmt.Sprintf("%g", ms), left-8, yOf(ms), 1, 16)
	}
	c.SetRGB(0, 0.27, 0.75)
	for _, p := range points {
		ms := float64(p.off) / 1e6
		if math.Abs(ms) > mostMs {
			log.Fatalf("%s at %v: %.3f ms does not fit the panel", name, p.at, ms)
		}
		c.DrawCircle(xOf(p.at), yOf(ms), 3)
		c.Fill()
	}
}

func xOf(t time.Time) float64 {
	return left + t.Sub(from).Hours()/hours*(width-left-right)
}

func face(size float64) font.Face {
	f, err := opentype.Parse(gobold.TTF)
	if err != nil {
		log.Fatal(err)
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72})
	if err != nil {
		log.Fatal(err)
	}
	return face
}

// compare finds for each pass of the table the pass of ours with the same
// moment, by satellite; one that is missing ends the program.
func compare() (names []string, points map[string][]point) {
	sky := tables()
	sites := map[string]predict.Site{}
	for _, r := range rows("sites.csv") {
		var s predict.Site
		fmt.Sscan(r["lat_deg"], &s.LatDeg)
		fmt.Sscan(r["lon_deg"], &s.LonDeg)
		sites[r["grid"]] = s
	}
	points = map[string][]point{}
	for _, r := range rows("passes.csv") {
		aos, err := time.Parse(time.RFC3339, r["aos_utc"])
		if err != nil {
			log.Fatal(err)
		}
		name := r["sat"]
		found := sky[name].Passes(sites[r["grid"]], aos.Add(-time.Second), aos.Add(time.Second), 0)
		if len(found) == 0 {
			log.Fatalf("%s %s %v: no such pass", name, r["grid"], aos)
		}
		if points[name] == nil {
			names = append(names, name)
		}
		points[name] = append(points[name], point{aos, found[0].AOS.Sub(aos)})
	}
	return names, points
}

func tables() map[string]*predict.Ephemeris {
	f, err := os.Open(dir + "sats.tle")
	if err != nil {
		log.Fatal(err)
	}
	defer f.Close()
	sets, problems, err := predict.ReadElements(f, "sats.tle")
	if err != nil || len(problems) > 0 {
		log.Fatal(err, problems)
	}
	sky := map[string]*predict.Ephemeris{}
	for _, e := range sets {
		if sky[e.Name], err = predict.NewEphemeris(e, from.Add(-time.Hour), from.Add((hours+1)*time.Hour)); err != nil {
			log.Fatal(err)
		}
	}
	return sky
}

func rows(name string) []map[string]string {
	f, err := os.Open(dir + name)
	if err != nil {
		log.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		log.Fatal(err)
	}
	var all []map[string]string
	for _, record := range records[1:] {
		r := map[string]string{}
		for i, v := range record {
			r[records[0][i]] = v
		}
		all = append(all, r)
	}
	return all
}

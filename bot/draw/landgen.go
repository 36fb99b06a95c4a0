//go:build ignore

// Landgen makes land.bin out of a TopoJSON file of the world's land:
//
//	go run landgen.go < land-50m.json > land.bin
//
// land.md says where that comes from and what the form is.
package main

import (
	"bufio"
	"encoding/binary"
	"encoding/json"
	"log"
	"math"
	"os"
	"slices"
)

const (
	perDegree = 100  // stored units
	coarseDeg = 0.04 // what is left out lies closer to the line than this
	speckDeg  = 0.12 // islands smaller than this in both directions are left out
)

type topology struct {
	Transform struct{ Scale, Translate [2]float64 }
	Arcs      [][][2]int
	Objects   struct {
		Land struct {
			Geometries []struct{ Arcs [][][]int }
		}
	}
}

type point struct{ lon, lat float64 }

func main() {
	var t topology
	if err := json.NewDecoder(os.Stdin).Decode(&t); err != nil {
		log.Fatal(err)
	}
	var rings [][]point
	for _, g := range t.Objects.Land.Geometries {
		for _, polygon := range g.Arcs {
			for _, ring := range polygon {
				rings = append(rings, t.ring(ring))
			}
		}
	}
	rings = slices.DeleteFunc(rings, speck)
	w := bufio.NewWriter(os.Stdout)
	write(w, rings)
	if err := w.Flush(); err != nil {
		log.Fatal(err)
	}
}

// ring joins arcs; a negative index means the arc reversed (~i).
func (t *topology) ring(arcs []int) []point {
	var ring []point
	for _, i := range arcs {
		line := t.arc(max(i, ^i))
		if i < 0 {
			slices.Reverse(line)
		}
		if len(ring) > 0 {
			line = line[1:]
		}
		ring = append(ring, line...)
	}
	half := len(ring) / 2
	return append(simplify(ring[:half+1]), simplify(ring[half:])[1:]...)
}

func (t *topology) arc(i int) []point {
	var line []point
	x, y := 0, 0
	for _, d := range t.Arcs[i] {
		x, y = x+d[0], y+d[1]
		line = append(line, point{
			float64(x)*t.Transform.Scale[0] + t.Transform.Translate[0],
			float64(y)*t.Transform.Scale[1] + t.Transform.Translate[1],
		})
	}
	return line
}

// simplify leaves out points that lie close to the line (Douglas & Peucker,
// 1973).
func simplify(line []point) []point {
	far, at := 0.0, 0
	a, b := line[0], line[len(line)-1]
	for i, p := range line {
		if d := distance(p, a, b); d > far {
			far, at = d, i
		}
	}
	if far < coarseDeg {
		return []point{a, b}
	}
	return append(simplify(line[:at+1]), simplify(line[at:])[1:]...)
}

func distance(p, a, b point) float64 {
	shrink := math.Cos(p.lat * math.Pi / 180)
	dx, dy := (b.lon-a.lon)*shrink, b.lat-a.lat
	px, py := (p.lon-a.lon)*shrink, p.lat-a.lat
	t := 0.0
	if n := dx*dx + dy*dy; n > 0 {
		t = max(0, min(1, (px*dx+py*dy)/n))
	}
	return math.Hypot(px-t*dx, py-t*dy)
}

func speck(ring []point) bool {
	west, east, south, north := 180.0, -180.0, 90.0, -90.0
	for _, p := range ring {
		west, east = min(west, p.lon), max(east, p.lon)
		south, north = min(south, p.lat), max(north, p.lat)
	}
	return len(ring) < 4 || east-west < speckDeg && north-south < speckDeg
}

func write(w *bufio.Writer, rings [][]point) {
	put := func(n int) { w.Write(binary.AppendVarint(nil, int64(n))) }
	put(len(rings))
	for _, ring := range rings {
		ring = ring[:len(ring)-1] // the last is the first again
		put(len(ring))
		x, y := 0, 0
		for _, p := range ring {
			nx, ny := int(math.Round(p.lon*perDegree)), int(math.Round(p.lat*perDegree))
			put(nx - x)
			put(ny - y)
			x, y = nx, ny
		}
	}
}

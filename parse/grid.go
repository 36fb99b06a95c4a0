package parse

import (
	"fmt"
	"math"
	"slices"
)

// Grid is a Maidenhead locator of 2, 4, 6 or 8 characters. It is comparable;
// the zero value is none.
type Grid struct {
	n uint8
	c [8]byte // upper case
}

// pairs are the counts of cells in each pair, field first; firsts are what they are
// counted from.
var pairs = [4]int{18, 10, 24, 10}

const firsts = "A0A0"

// unitsPerCell are how many of the smallest cells (30″ east, 15″ north) a cell
// of each pair is wide and high.
var unitsPerCell = [4]int{2400, 240, 10, 1}

// The globe in smallest cells, and how many there are in a degree.
const (
	unitsEast, unitsNorth         = 43200, 43200
	unitsPerDegEast, unitsPerDegN = 120, 240
)

// ParseGrid parses a grid in any case. An error is a [*SyntaxError].
func ParseGrid(s string) (Grid, error) {
	u := upper(s)
	if g, ok := makeGrid(u); ok {
		return g, nil
	}
	at := gridRun(u)
	expected := [...]string{"a letter A-R", "a digit", "a letter A-X", "a digit", "at most 8 characters"}
	return Grid{}, &SyntaxError{"grid", s, at, foundAt(s, at), expected[at/2]}
}

// MustParseGrid is ParseGrid for constants of a program; it panics where that fails.
func MustParseGrid(s string) Grid { return must(ParseGrid(s)) }

// makeGrid makes a grid of a text in upper case, if it is one.
func makeGrid(s string) (g Grid, ok bool) {
	if len(s) < 2 || len(s)%2 != 0 || gridRun(s) < len(s) {
		return Grid{}, false
	}
	g.n = uint8(len(s))
	copy(g.c[:], s)
	return g, true
}

// gridRun counts the characters that a text begins with as grids do.
func gridRun[T string | []byte](s T) int {
	n := 0
	for n < min(len(s), 8) && gridChar(s[n], n) {
		n++
	}
	return n
}

// gridChar reports whether c may stand at position i of a grid.
func gridChar(c byte, i int) bool {
	first := firsts[i/2]
	return c >= first && int(c-first) < pairs[i/2]
}

// GridAt returns the grid of 2, 4, 6 or 8 characters that holds a point (WGS 84, degrees). A
// point on a border belongs to the cell north-east of it, 180° east is 180° west, and the north
// pole lies in the northernmost cell. It panics for another length or a place that is none.
func GridAt(latDeg, lonDeg float64, chars int) Grid {
	if chars < 2 || chars > 8 || chars%2 != 0 {
		panic(fmt.Sprintf("parse: no grid has %d characters", chars))
	}
	if !(math.Abs(latDeg) <= 90) || math.IsInf(lonDeg, 0) || math.IsNaN(lonDeg) {
		panic(fmt.Sprintf("parse: no place: %v, %v", latDeg, lonDeg))
	}
	x := floorTimes(math.Mod(lonDeg, 360), unitsPerDegEast) + unitsEast/2
	y := floorTimes(latDeg, unitsPerDegN) + unitsNorth/2
	return gridOf((x+unitsEast)%unitsEast, min(y, unitsNorth-1), chars)
}

// floorTimes returns the floor of the exact product: rounding it first would
// move points just south or west of a border across it.
func floorTimes(a, b float64) int {
	n := math.Floor(a * b)
	switch rest := math.FMA(a, b, -n); {
	case rest < 0:
		n--
	case rest >= 1:
		n++
	}
	return int(n)
}

// gridOf returns the grid that holds the smallest cell x, y.
func gridOf(x, y, chars int) Grid {
	g := Grid{n: uint8(chars)}
	for p := range chars / 2 {
		g.c[2*p] = firsts[p] + byte(x/unitsPerCell[p]%pairs[p])
		g.c[2*p+1] = firsts[p] + byte(y/unitsPerCell[p]%pairs[p])
	}
	return g
}

// corner returns the south-west corner in smallest cells.
func (g Grid) corner() (x, y int) {
	for p := range int(g.n) / 2 {
		x += int(g.c[2*p]-firsts[p]) * unitsPerCell[p]
		y += int(g.c[2*p+1]-firsts[p]) * unitsPerCell[p]
	}
	return x, y
}

// Center returns the middle of the cell (WGS 84, degrees). The zero value has
// none and gives 0, 0.
func (g Grid) Center() (latDeg, lonDeg float64) {
	if g.n == 0 {
		return 0, 0
	}
	x, y := g.corner()
	half := float64(unitsPerCell[g.n/2-1]) / 2
	return (float64(y)+half)/unitsPerDegN - 90, (float64(x)+half)/unitsPerDegEast - 180
}

// Square returns the first four characters, g itself if it has no more.
func (g Grid) Square() Grid {
	g.n = min(g.n, 4)
	clear(g.c[g.n:])
	return g
}

// Squares are those that grids lie in, each once.
func Squares(gs []Grid) (squares []Grid) {
	for _, g := range gs {
		if !slices.Contains(squares, g.Square()) {
			squares = append(squares, g.Square())
		}
	}
	return squares
}

// IsValid reports whether there is a grid at all.
func (g Grid) IsValid() bool { return g.n > 0 }

// IsZero reports whether there is none, so that omitzero leaves it out.
func (g Grid) IsZero() bool { return g.n == 0 }

// Chars returns how many characters it has: 2, 4, 6 or 8, or 0 for the zero value.
func (g Grid) Chars() int { return int(g.n) }

// String returns the grid as it is printed: "JO62qm12".
func (g Grid) String() string {
	c := g.c
	for i := 4; i < 6 && i < int(g.n); i++ {
		c[i] += 'a' - 'A'
	}
	return string(c[:g.n])
}

// MarshalText implements [encoding.TextMarshaler]: the form of String.
func (g Grid) MarshalText() ([]byte, error) { return []byte(g.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler]; empty text gives the zero value.
func (g *Grid) UnmarshalText(text []byte) error { return unmarshal(g, text, ParseGrid) }

// CheckGrids reports what is wrong with the grids of one station: it may stand in one, on the
// line between two, or on the corner of four. Columns wrap at 180°, rows do not at the poles.
// All but a single one have at least four characters and are compared by their squares.
func CheckGrids(gs []Grid) error {
	switch {
	case len(gs) == 0 || len(gs) == 1 && !gs[0].IsValid():
		return fmt.Errorf("no grid")
	case len(gs) == 1:
		return nil
	case len(gs) != 2 && len(gs) != 4:
		return fmt.Errorf("%d grids: a station stands in one, on a line between two or on a corner of four", len(gs))
	}
	for i, a := range gs {
		for _, b := range gs[:i] {
			if a.n < 4 || b.n < 4 {
				return fmt.Errorf("%v and %v: on a line or a corner each grid needs four characters", b, a)
			}
			dx, dy := a.apart(b)
			if dx+dy == 0 {
				return fmt.Errorf("%v twice", a.Square())
			}
			if len(gs) == 2 && dx+dy != 1 || dx > 1 || dy > 1 {
				return fmt.Errorf("%v and %v do not touch along a line", b, a)
			}
		}
	}
	return nil
}

// apart returns how many squares lie between two grids, each way.
func (g Grid) apart(h Grid) (dx, dy int) {
	const columns = 180
	ax, ay := g.Square().corner()
	bx, by := h.Square().corner()
	dx = (ax/unitsPerCell[1] - bx/unitsPerCell[1] + columns) % columns
	dy = ay/unitsPerCell[1] - by/unitsPerCell[1]
	return min(dx, columns-dx), max(dy, -dy)
}

package parse

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

// BenchmarkRead reads typical lines, one in each form, and the worst that we
// know of in 4,096 characters.
func BenchmarkRead(b *testing.B) {
	for name, text := range map[string]string{
		"typed":   "ab1cde jo32 59 :42",
		"glued":   "ab1cdejo32qm",
		"spoken":  "kilo delta niner x-ray uniform mike stroke mobile grid juliett oscar zero five",
		"chatter": "too many people on top of each other today, going home",
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			known := Known{Own: MustParseCallsign("OX9QZT"), Birds: []string{"SO-124", "SO-125", "ISS", "IO-86"}}
			for b.Loop() {
				Read(text, known)
			}
		})
	}
	known, _ := manyKnown(1000)
	for name, text := range worst() {
		b.Run("worst "+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Read(text, known)
			}
		})
	}
}

// worst returns lines of 4,096 characters that make much work.
func worst() map[string]string {
	fill := func(s string) string { return strings.Repeat(s, 4096/len(s)+1)[:4096] }
	return map[string]string{
		"letters":    fill("a "),
		"digits":     fill("1 "),
		"mixed":      fill("k 1 "),
		"homophones": fill("to too for won ate oh "),
		"oh":         fill("oh "),
		"doubles":    fill("double two "),
		"phonetic":   fill("kilo lima 3 xray charlie yankee "),
		"contacts":   fill("ab1cde jo32 "),
		"calls":      fill("ab1cde "),
		"grids":      fill("jo32 "),
		"strokes":    fill("k/1"),
		"wild":       fill("?a1 "),
		"dots":       fill("..a"),
		"glued":      fill("ab1cdejo32qm"),
		"pairs":      fill("32 "),
		"not":        fill("not cde "),
		"no":         fill("no jo32 "),
		"newlines":   fill("ab1cde jo32\n"),
		"empty":      fill("\n"),
		"cyrillic":   strings.Repeat("Ж ", 2048),
		"times":      fill("1:2 "),
		"parts":      fill("hx2abc 33 "),
		"bad":        fill("hx2abc io9 "),
		"damaged":    fill("wyoxum ko21; "),
		"suffix":     fill("cde "),
		"or":         fill("hx2abc or "),
		"fives":      fill("five "),
		"points":     fill("."),
		"lines":      fill("x\n"),
		"fillers":    fill("kilo to "),
		"months":     fill("oh nov oh "),
		"strangers":  fill("hx2abc io91 zap grumbleweed "),
		"only one":   "hx2abc io91" + fill(" zap")[:4085],
		"his":        fill("was he him but "),
		"spoken":     fill("at seventeen forty "),
		"names":      fill("de be ce "),
		"asides":     fill("aqui de la em fran i "),
		"tens":       fill("vingt et un "),
		"repeated":   fill("delta india six quebec november "),
		"garbled":    fill("hx2ab? io91 "),
		"misheard":   fill("hotel x-ray two potato alfa india oscar nine one; "),
		"faces":      fill("hx2abc io91 :( :"),
	}
}

// BenchmarkReadKnown reads beside very many known stations.
func BenchmarkReadKnown(b *testing.B) {
	known, calls := manyKnown(100_000)
	line := fmt.Sprintf("%s jo32 59", calls[500])
	b.ReportAllocs()
	for b.Loop() {
		Read(line, known)
		Read("cde jo32", known)
	}
}

// manyKnown knows n stations of earlier passes and forty of this one.
func manyKnown(n int) (Known, []Callsign) {
	r := rand.New(rand.NewPCG(1, 2))
	worked := map[Callsign][]Grid{}
	suffix := map[string][]Callsign{}
	var calls []Callsign
	for len(calls) < n {
		s := fmt.Sprintf("HX%d%c%c%c", r.IntN(10), 'A'+r.IntN(26), 'A'+r.IntN(26), 'A'+r.IntN(26))
		c := MustParseCallsign(s)
		calls = append(calls, c)
		worked[c] = append(worked[c], GridAt(r.Float64()*180-90, r.Float64()*360-180, 4))
		suffix[s[3:]] = append(suffix[s[3:]], c)
	}
	k := Known{
		Own: MustParseCallsign("OX9QZT"), OwnGrids: []Grid{MustParseGrid("JO32")}, Worked: func(c Callsign) []Grid { return worked[c] },
		Suffix:    func(s string) []Callsign { return suffix[s] },
		Reachable: func(g Grid) bool { return g.Square().String()[0] == 'J' },
	}
	for _, c := range calls[:40] {
		k.Heard = append(k.Heard, Station{Call: c, Grids: worked[c]})
	}
	return k, calls
}

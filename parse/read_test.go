package parse

import (
	"fmt"
	"strings"
	"testing"
)

// show prints a reading in one line: the verdict, then each contact with all
// that was read.
func show(l Line) string {
	var b strings.Builder
	b.WriteString(l.Verdict.String())
	if l.Bird != "" {
		fmt.Fprintf(&b, " bird %s", l.Bird)
	}
	if l.Clock.IsSet() {
		fmt.Fprintf(&b, " clock %s", l.Clock)
	}
	if l.Asks {
		b.WriteString(" asks")
	}
	if l.Denies {
		b.WriteString(" denies")
	}
	for _, c := range l.Contacts {
		b.WriteString(" |")
		showContact(&b, c)
	}
	return b.String()
}

func showContact(b *strings.Builder, c Contact) {
	word := func(cond bool, format string, args ...any) {
		if cond {
			fmt.Fprintf(b, " "+format, args...)
		}
	}
	word(c.Call.IsValid(), "%s", c.Call)
	for _, g := range c.Grids {
		word(true, "%s", g)
	}
	word(c.Report != "", "%s", c.Report)
	word(c.Clock.IsSet(), "%s", c.Clock)
	word(c.Offset.IsSet(), "+%s", c.Offset.Duration())
	word(c.Name != "", "name %s", c.Name)
	word(c.Date.IsSet(), "on %s", c.Date)
	word(c.ReportSent != "", "sent %s", c.ReportSent)
	word(c.Comment != "", "%q", c.Comment)
	word(c.Mode != "", "%s", c.Mode)
	word(c.Heard, "heard")
	word(c.Corrects, "corrects")
	word(c.Was.IsValid(), "was %s", c.Was)
	word(c.Why != "", "%s", c.Why)
	for _, x := range c.Candidates {
		word(true, "{")
		word(x.Call.IsValid(), "%s", x.Call)
		for _, g := range x.Grids {
			word(true, "%s", g)
		}
		word(true, "}")
	}
}

// reads checks what lines are read as. In them \n breaks a line; the readings
// of its parts stand in order.
func reads(t *testing.T, known Known, table string) {
	t.Helper()
	for row := range strings.Lines(strings.TrimSpace(table)) {
		text, want, ok := strings.Cut(strings.TrimSpace(row), " => ")
		if !ok {
			t.Fatalf("%q lacks an arrow", row)
		}
		text = strings.ReplaceAll(text, `\n`, "\n")
		var got []string
		for _, l := range Read(text, known) {
			got = append(got, show(l))
		}
		if s := strings.Join(got, " \\n "); s != want {
			t.Errorf("%q\n got %s\nwant %s", text, s, want)
		}
	}
}

var here = Known{Own: MustParseCallsign("OX9QZT"), Birds: []string{"SO-124", "SO-125", "IO-86", "ISS", "RS-44"}}

func TestReadTyped(t *testing.T) {
	reads(t, here, `
hx2abc io91 => log | HX2ABC IO91
io91 hx2abc => log | HX2ABC IO91
hx2abcio91 => log | HX2ABC IO91
IO91HX2ABC => log | HX2ABC IO91
hx2abc io91wm => log | HX2ABC IO91wm
hx2abc em12 tx => log | HX2ABC EM12 "tx"
hx2abc i091 => ask | HX2ABC bad_grid { HX2ABC IO91 } { HX2ABC IQ91 } { HX2ABC ID91 } { HX2ABC IP91 }
hx2abc 0n12 => ask | HX2ABC bad_grid { HX2ABC ON12 } { HX2ABC QN12 } { HX2ABC DN12 } { HX2ABC PN12 }
hx2abc j031qm => ask | HX2ABC "j031qm" ambiguous
hx2abc k031qm => ask | HX2ABC no_grid | K031QM unusual
hx2abc io91 wm => ask | HX2ABC IO91 "wm" ambiguous
hx2 abc io91 => log | HX2ABC IO91
hx2abc io 91 => log | HX2ABC IO91
HX 2 ABC. IO 91. => log | HX2ABC IO91
H X 2 A B C in I O 9 1 => log | HX2ABC IO91
hx2abc/p io91 => log | HX2ABC/P IO91
hx2abc /p io91 => log | HX2ABC/P IO91
hb0/hx2abc/p io91 => log | HB0/HX2ABC/P IO91
qso w/ hx2abc io91 => log | HX2ABC IO91
hx2abc portable io91 => ask | HX2ABC IO91 "portable" ambiguous
hx2abc,io91 => log | HX2ABC IO91
hx2abc/io91 => log | HX2ABC IO91
1. hx2abc io91 => log | HX2ABC IO91
hx2abc hx2abc io91 io91 => log | HX2ABC IO91
hx2abc io91 hx2abc => log | HX2ABC IO91
ox9qzt de hx2abc io91 => log | HX2ABC IO91
ox9qzt/p hx2abc io91 => log | HX2ABC IO91
hx2abc => ask | HX2ABC no_grid
io91 => ask | IO91 no_call
do86ku => ask | DO86ku no_call
hx2abc do86ku => log | HX2ABC DO86ku
fk40vm3j2qe => ask | 3J2QE FK40vm ambiguous { 3J2QE FK40vm } { VM3J2QE FK40 }
2 hx2abc io91 => ask | HX2ABC IO91 "2" ambiguous
hx2abc f io91 => ask | HX2ABC IO91 "f" ambiguous { HX2ABC IO91 } { HX2ABCF IO91 }
hx2ab c io91 => ask | HX2AB IO91 "c" ambiguous { HX2AB IO91 } { HX2ABC IO91 }
hx50qxz io91 => ask | HX50QXZ IO91 unusual { HX50QXZ IO91 }
hx2abc/b io91 => ask | HX2ABC IO91 "b" ambiguous
g2g => ignore
g2g io91 => ask | IO91 "g2g" ambiguous { G2G IO91 }
back in 20 => ignore
max el 73 => ignore
`)
}

func TestReadBeside(t *testing.T) {
	reads(t, here, `
hx2abc io91 59 => log | HX2ABC IO91 59
hx2abc 599 io91 => log | HX2ABC IO91 599
hx2abc io91 5/9 => log | HX2ABC IO91 59
hx2abc io91 5 by 9 => log | HX2ABC IO91 59
hx2abc five nine io91 => log | HX2ABC IO91 59
hx2abc io91 5nn => log | HX2ABC IO91 599
hx2abc io91 r59 => log | HX2ABC IO91 59
hx2abc io91 73 => log | HX2ABC IO91
hx2abc io91 :42 => log | HX2ABC IO91 :42
hx2abc io91 at 42 => log | HX2ABC IO91 :42
hx2abc io91 at 5 watts => log | HX2ABC IO91
hx2abc io91 1742z => log | HX2ABC IO91 17:42
hx2abc io91 17:42 => log | HX2ABC IO91 17:42
17:42 hx2abc io91 => log | HX2ABC IO91 17:42
hx2abc io91 +4:10 => log | HX2ABC IO91 +4m10s
hx2abc io91 23:59:60 => log | HX2ABC IO91 23:59:59
hx2abc io91 t+1:04:10 => log | HX2ABC IO91 +1h4m10s
hx2abc io91 145.990 => log | HX2ABC IO91
hx2abc io91 name bob => log | HX2ABC IO91 name Bob
hx2abc io91 op is Łukasz => log | HX2ABC IO91 name Łukasz
hx2abc io91 mike => log | HX2ABC IO91 name Mike
hx2abc mike io91 => ask | HX2ABC IO91 "mike" ambiguous { HX2ABC IO91 } { HX2ABCM IO91 }
hx2a mike io91 => ask | HX2AM IO91 ambiguous { HX2AM IO91 } { HX2A IO91 }
hx2abc io91 tom => log | HX2ABC IO91 name Tom
hx2abc on ssb io91 => log | HX2ABC IO91
hx2abc io91 up 5 khz => log | HX2ABC IO91
hx2abc io91 nice signal, thanks => log | HX2ABC IO91
so-124 hx2abc io91 => log bird SO-124 | HX2ABC IO91
hx2abc io91 via so124 => log bird SO-124 | HX2ABC IO91
so-125 => ignore bird SO-125
io-86 => ignore bird IO-86
io86 => ignore bird IO-86
hx2abc io86 => ask | HX2ABC IO86 ambiguous
hx2abc io91 io-86 => log bird IO-86 | HX2ABC IO91
17:42 => ignore clock 17:42
at :42 => ignore clock :42
`)
	linear := here
	linear.Linear = true
	reads(t, linear, `
hx2abc io91 ssb => log | HX2ABC IO91 SSB
`)
}

func TestReadSeveral(t *testing.T) {
	reads(t, here, `
hx2abc io91 kd9xmp em12 => log | HX2ABC IO91 | KD9XMP EM12
hx2abc io91, kd9xmp em12 59 => log | HX2ABC IO91 | KD9XMP EM12 59
io91 hx2abc em12 kd9xmp => log | HX2ABC IO91 | KD9XMP EM12
hx2abc io91\nkd9xmp em12 => log | HX2ABC IO91 \n log | KD9XMP EM12
hx2abc io91; kd9xmp => ask | HX2ABC IO91 | KD9XMP no_grid
hx2abc io91 and kd9xmp => ask | HX2ABC IO91 | KD9XMP no_grid
hx2abc io91 kd9xmp => ask | HX2ABC IO91 ambiguous | KD9XMP ambiguous
hx2abc and kd9xmp io91 => ask | HX2ABC no_grid | KD9XMP IO91 ambiguous
hx2abc io91 em12 kd9xmp => ask | HX2ABC IO91 EM12 ambiguous | KD9XMP ambiguous
hx2abc\nio91 => ask | HX2ABC no_grid \n ask | IO91 no_call
hx2abc jo31/32 => log | HX2ABC JO31 JO32
hx2abc jo31 41 => log | HX2ABC JO31 JO41
hx2abc jo31 59 => log | HX2ABC JO31 59
hx2abc jo58 57 => ask | HX2ABC JO58 JO57 ambiguous
hx2abc jo31/32/41/42 => log | HX2ABC JO31 JO32 JO41 JO42
hx2abc fn08 en98 => log | HX2ABC FN08 EN98
hx2abc jo31 kn14 => ask | HX2ABC JO31 KN14 bad_grid
hx2abc jo31/33 => ask | HX2ABC JO31 JO33 bad_grid
hx2abc jo31 jo32 jo41 => ask | HX2ABC JO31 JO32 JO41 bad_grid
`)
}

func TestReadWords(t *testing.T) {
	reads(t, here, `
heard hx2abc io91 => ask | HX2ABC IO91 "heard" heard denied
hx2abc io91 calling => ask | HX2ABC IO91 "calling" heard denied
hx2abc io91 nil => ask | HX2ABC IO91 "nil" heard denied
hx2abc not in log => ask | HX2ABC "not in log" heard denied
hx2abc io91 lost him => ask | HX2ABC IO91 "lost him" heard denied
hx2abc io91 lost the signal after => log | HX2ABC IO91
hx2abc io91 no copy => ask | HX2ABC IO91 "no copy" heard denied
hx2abc io91 no problem => log | HX2ABC IO91
hx2abc no grid => ask | HX2ABC no_grid
hx2abc missed the grid => ask | HX2ABC no_grid
hx2abc io91? => ask | HX2ABC IO91 doubted
hx2abc? io91 => ask | HX2ABC IO91 ambiguous
qrz? hx2abc io91 => log | HX2ABC IO91
hx2abc io91 maybe => ask | HX2ABC IO91 "maybe" doubted
hx2abc io91 not bad => log | HX2ABC IO91
need hx2abc io91 => ask | HX2ABC IO91 "need" doubted
hx2abc io91 tomorrow => ask | HX2ABC IO91 "tomorrow" doubted
great to hear hx2abc io91 => log | HX2ABC IO91
hx2abc or hx2abd io91 => ask | HX2ABC IO91 ambiguous { HX2ABC IO91 } { HX2ABD IO91 }
hx2abc io91 or io92 => ask | HX2ABC IO91 ambiguous { HX2ABC IO91 } { HX2ABC IO92 }
hx2abc io91 no io92 => log | HX2ABC IO92
hx2abc io91 correction hx2abd => log | HX2ABD IO91
hx2abc io91 kd9xmp en52 no kd9xmq => log | HX2ABC IO91 | KD9XMQ EN52
hx2abc io91 or kd9xmp en52 => ask | HX2ABC IO91 ambiguous | KD9XMP EN52 ambiguous
hx2abc io91 kd9xmp no en52 => ask | HX2ABC IO91 ambiguous | KD9XMP EN52 ambiguous
hx2abc io91 i mean io92 => log | HX2ABC IO92
hx2abc io91 sorry io92 => log | HX2ABC IO92
hx2abc io91 sorry jn58 => ask | HX2ABC JN58 ambiguous { HX2ABC JN58 } { HX2ABC IO91 }
no, io92 => ask | IO92 corrects no_call
no, hx2abd => ask | HX2ABD corrects no_grid
no, hx2abc io91 => log | HX2ABC IO91 corrects
no hx2abc io91 => ask | HX2ABC IO91 "no" doubted
not io91, io92 => ask | IO92 corrects no_call
not in log => ignore denies
lost him => ignore denies
too much noise => ignore
`)
}

func TestReadSpoken(t *testing.T) {
	reads(t, here, `
hotel x-ray two alfa bravo charlie in india oscar nine one => log | HX2ABC IO91
Hotel x ray to Alpha bravo Charlie, India oscar 91. => log | HX2ABC IO91
hotel xray too able baker charlie in india ocean double one => log | HX2ABC IO11
hx2 alpha bravo charlie io91 => log | HX2ABC IO91
hx2abc india oscar ninety one => log | HX2ABC IO91
hotel x-ray two alfa stroke portable in india oscar nine one => log | HX2A/P IO91
hotel x-ray two alfa stroke papa india oscar nine one quebec mike => log | HX2A/P IO91qm
hotel x-ray two k as in kilo alfa in india oscar nine one => log | HX2KA IO91
papa ate six juliett alfa zulu in india oscar nine one => ask | P86JAZ IO91 ambiguous { P86JAZ IO91 } { P6JAZ IO91 }
hotel x-ray two alfa vodka charlie in india oscar nine one => ask | HX2A IO91 "vodka charlie" ambiguous
hotel x-ray two alfa rodeo in india oscar nine one => ask | HX2A IO91 "rodeo" ambiguous
hotel x-ray two alfa bravo in india oscar nine one rodeo window => ask | HX2AB IO91 "rodeo window" ambiguous
hotel x-ray two alfa bravo in india oscar nine one mike => log | HX2AB IO91 name Mike
hotel x-ray two alfa bravo in india oscar nine one quebec => log | HX2AB IO91 "quebec"
hotel x-ray alfa bravo in india oscar nine one => ask | IO91 "hotel x-ray alfa" bad_call
hotel x-ray alfa bravo => ask | bad_call
hotel wifi is bad => ignore
mike says hi from the golf club => ignore
hotel x-ray two alfa bravo india oscar nine one five nine => log | HX2AB IO91 59
hotel x-ray two alfa bravo india oscar november 31st => log | HX2ABI ON31
kilo delta nine x-ray mike papa echo november thank you five two => log | KD9XMP EN52
delta india six quebec november juliett danke oscar four three => log | DI6QN JO43
delta india six quebec november juliett oscar danke four three => ask | DI6QN JO43 ambiguous { DI6QN JO43 } { DI6QNJO JO43 }
delta india six danke quebec november juliett oscar four three => ask | DI6QN JO43 repaired { DI6QN JO43 }
`)
}

func TestReadTyping(t *testing.T) {
	reads(t, here, `
ＨＸ２ＡＢＣ　ＩＯ９１ => log | HX2ABC IO91
НХ2АВС io91 => ask | HX2ABC IO91 repaired { HX2ABC IO91 }
НХ2АВС ІО91 => ask | HX2ABC IO91 repaired { HX2ABC IO91 }
hx2abç io91 => log | HX2ABC IO91
HXØABC IO9١ => log | HX0ABC IO91
hx2abc → io91 🎉 => log | HX2ABC IO91
wyoxum ko21 => ask | KO21 "wyoxum" bad_call { W6OXUM KO21 } { WY0XUM KO21 } { WY9XUM KO21 } { W5OXUM KO21 }
hx2abc qmi8 => ask | HX2ABC bad_grid { HX2ABC QM18 } { HX2ABC QM88 } { HX2ABC QM78 } { HX2ABC QM98 }
hx2abc un42 => ask | HX2ABC bad_grid { HX2ABC HN42 } { HX2ABC JN42 } { HX2ABC IN42 }
hx2abc eo777 => ask | HX2ABC bad_grid { HX2ABC EO77 }
hx2abc io9 => ask | HX2ABC bad_grid
ab?cde io91 => ask | IO91 partial
..cde io91 => ask | IO91 partial
hx2abc io?1 => ask | HX2ABC partial
hx2abc 33 => ask | HX2ABC partial
`)
}

func TestReadKnown(t *testing.T) {
	k := here
	k.Heard = []Station{
		{MustParseCallsign("HX2ABC"), []Grid{MustParseGrid("IO91")}},
		{MustParseCallsign("KD9XMP/P"), nil},
		{MustParseCallsign("JC7DEF"), nil},
	}
	k.OwnGrids = []Grid{MustParseGrid("JO32")}
	k.Worked = func(c Callsign) []Grid {
		if c.String() == "VB1QXZ" {
			return []Grid{MustParseGrid("FN20")}
		}
		return nil
	}
	k.Suffix = func(s string) []Callsign {
		if s == "QXZ" {
			return []Callsign{MustParseCallsign("VB1QXZ")}
		}
		return nil
	}
	reads(t, k, `
abc io91 => log | HX2ABC IO91
abc io92 => ask | IO92 partial { HX2ABC IO92 }
abc => log | HX2ABC IO91
hx2abc => log | HX2ABC IO91
hx2abc is loud => ask | HX2ABC "is loud" doubted
hx2abc 91 => log | HX2ABC IO91
hx2abc 33 => ask | HX2ABC partial { HX2ABC JO33 }
hx2abc io?1 => log | HX2ABC IO91
xmp em12 => log | KD9XMP/P EM12
..xmp em12 => ask | EM12 partial { KD9XMP/P EM12 }
?2abc => ask | partial { HX2ABC IO91 }
def => ask | JC7DEF no_grid
vb1qxz => ask | VB1QXZ no_grid { VB1QXZ FN20 }
vb1qxz 20 => ask | VB1QXZ partial { VB1QXZ FN20 } { VB1QXZ JO20 }
..qxz fn20 => ask | FN20 partial { VB1QXZ FN20 }
qxz fn20 => ask | FN20 "qxz" no_call
not def, deh => ask | JC7DEH corrects was JC7DEF no_grid
hx2abd not hx2abc => ask | HX2ABD corrects was HX2ABC no_grid
hx2abd jo43 not hx2abc => log | HX2ABD JO43 corrects was HX2ABC
not abc, abd => log | HX2ABD IO91 corrects was HX2ABC
not jc7def, jc7deg => ask | JC7DEG corrects was JC7DEF no_grid
kx6q romeo kg66 => ask | KX6QR KG66 ambiguous { KX6QR KG66 } { KX6Q KG66 }
`)
	k.Expected = []Station{{MustParseCallsign("HX60QXZ"), []Grid{MustParseGrid("IO70")}}}
	reads(t, k, `
hx60qxz io70 => log | HX60QXZ IO70
hx60qxz => ask | HX60QXZ no_grid { HX60QXZ IO70 }
60qxz => ask | partial { HX60QXZ IO70 }
`)
	k.Reachable = func(g Grid) bool { return strings.HasPrefix(g.String(), "I") || strings.HasPrefix(g.String(), "J") }
	reads(t, k, `
vb1qxz io91 => log | VB1QXZ IO91
vb1qxz fn20 => ask | VB1QXZ FN20 bad_grid { VB1QXZ FN20 }
fk40vm3j2qe => ask | 3J2QE FK40vm ambiguous { 3J2QE FK40vm } { VM3J2QE FK40 }
jk40vm3j2qe => ask | 3J2QE JK40vm ambiguous { 3J2QE JK40vm } { VM3J2QE JK40 }
vb1qxz 91 => ask | VB1QXZ partial { VB1QXZ IO91 } { VB1QXZ JO91 } { VB1QXZ IP91 } { VB1QXZ IN91 }
vb1qxz un42 => ask | VB1QXZ bad_grid { VB1QXZ JN42 } { VB1QXZ IN42 }
`)
	k.Confirmed = func(c Callsign) bool { return c.String() == "HX50QXZ" }
	reads(t, k, `
hx50qxz io91 => log | HX50QXZ IO91
hx51qxz io91 => ask | HX51QXZ IO91 unusual { HX51QXZ IO91 }
`)
}

// What stands in for a time, and what only looks like one.
func TestReadTimes(t *testing.T) {
	reads(t, here, `
hx2abc io91 +95s => log | HX2ABC IO91 +1m35s
hx2abc io91 +3m10 => log | HX2ABC IO91 +3m10s
hx2abc io91 +3m10s => log | HX2ABC IO91 +3m10s
hx2abc io91 +4 min => log | HX2ABC IO91 +4m0s
hx2abc io91 +1h02m03s => log | HX2ABC IO91 +1h2m3s
hx2abc io91 +1:04:10 => log | HX2ABC IO91 +1h4m10s
hx2abc io91 +1:75 => ask | HX2ABC IO91 "1:75" ambiguous
hx2abc io91 +3:1 => ask | HX2ABC IO91 "3:1" ambiguous
hx2abc io91 +1:61:10 => ask | HX2ABC IO91 "1:61:10" ambiguous
hx2abc io91 17:75 => ask | HX2ABC IO91 "17:75" ambiguous
hx2abc io91 25:10 => ask | HX2ABC IO91 "25:10" ambiguous
17.05 hx2abc io91 => log | HX2ABC IO91 17:05
hx2abc io91 145.95 => log | HX2ABC IO91
hx2abc io91 at seventeen forty two => log | HX2ABC IO91 17:42
hx2abc io91 at forty two => log | HX2ABC IO91 :42
hx2abc io91 minute oh five => log | HX2ABC IO91 :05
hx2abc io91 one seven four two zulu => log | HX2ABC IO91 17:42
hx2abc io91 eighteen hundred utc => log | HX2ABC IO91 18:00
minute forty two => ignore clock :42
1742 hx2abc io91 1744 kd9xmp en52 => log | HX2ABC IO91 17:42 | KD9XMP EN52 17:44
hx2abc io91 1742 kd9xmp en52 1744 => log | HX2ABC IO91 17:42 | KD9XMP EN52 17:44
`)
}

// Parts, and what is nearly a grid.
func TestReadParts(t *testing.T) {
	k := here
	k.Heard = []Station{{MustParseCallsign("HX2ABC"), []Grid{MustParseGrid("IO91")}}, {MustParseCallsign("HX2ABC"), []Grid{MustParseGrid("IO91")}}}
	k.OwnGrids = []Grid{MustParseGrid("JO32")}
	reads(t, k, `
2z?vek => ask | partial
ab?cde => ask | partial
..qxz => ask | partial
hx?abc => ask | partial { HX2ABC IO91 }
..abc => ask | partial { HX2ABC IO91 }
wh?t => ignore
..and => ignore
2m? => ignore
abc => log | HX2ABC IO91
abc91 => ask | HX2ABC IO91 ambiguous { HX2ABC IO91 } { HX2ABC JO91 }
hx2abc/p io91 => log | HX2ABC/P IO91
hx2abc/p => ask | HX2ABC/P no_grid
hx7abd jo3e => ask | HX7ABD bad_grid { HX7ABD JO33 } { HX7ABD JO32 } { HX7ABD JO34 }
did4zab joe43 => ask | "did4zab" ambiguous { OE43 } { JE43 } { JO43 }
hx7abd jo51/52/53/54 => ask | HX7ABD JO51 JO52 JO53 JO54 bad_grid
hx7abd jo51 -> jo52 => ask | HX7ABD JO51 JO52 ambiguous
hx7abd jo43 on io86 => log bird IO-86 | HX7ABD JO43
hx7abd jo43 +:0m => ask | HX7ABD JO43 ":0m" ambiguous
hx7abd jo43 +99999999999999999999s => log | HX7ABD JO43
no, jo4 => ask | corrects bad_grid
sorry, hx7abc io91 => log | HX7ABC IO91 corrects was HX2ABC
sorry late, kd9xmp en52 => log | KD9XMP EN52
fix: jo44 => ask | JO44 corrects no_call
`)
	k.Reachable = func(g Grid) bool { return g.String()[0] != 'I' }
	reads(t, k, `
hx7abd io86 => ask | HX7ABD IO86 bad_grid { HX7ABD IO86 }
`)
	k.Reachable = func(Grid) bool { return true }
	reads(t, k, `
hx7abd io86 => log | HX7ABD IO86
`)
}

// Words that no list explains.
func TestReadForms(t *testing.T) {
	reads(t, here, `
hx2abc io91 shouldn't count => ask | HX2ABC IO91 "shouldn't count" doubted
hx2abc io91 lsn only => ask | HX2ABC IO91 "lsn only" heard denied
hx2abc io91 unverified => ask | HX2ABC IO91 "unverified" doubted
hx2abc io91 flubbed => ask | HX2ABC IO91 "flubbed" doubted
hx2abc io91 but no roger => ask | HX2ABC IO91 "but no roger" heard denied
hx2abc io91 weak but readable => log | HX2ABC IO91
hx2abc io91 too weak => ask | HX2ABC IO91 "too weak" doubted
hx2abc io91 gobbledygook => log | HX2ABC IO91 "gobbledygook"
hx2abc io91 near Gobbledygook => log | HX2ABC IO91 "near Gobbledygook"
hx2abc io91 Gobbledygook => log | HX2ABC IO91 "Gobbledygook"
hx2abc io91 from the castle => log | HX2ABC IO91 "from the castle"
hx2abc io91 without answer => ask | HX2ABC IO91 "without answer" heard denied
hx2abc io91 without preamp => log | HX2ABC IO91
hx2abc io91 :( => ask | HX2ABC IO91 doubted
hx2abc io91 👎 => ask | HX2ABC IO91 "👎" heard denied
hx2abc io91 🥳 => log | HX2ABC IO91
unverified => ignore
`)
}

// A line that says where the writer is, was or will be, or what a place is like, holds no
// contact, and is known by that; with a call in it the grid is asked about.
func TestWhereabouts(t *testing.T) {
	for text, want := range map[string]bool{
		"my grid is ip62": true, "tomorrow im in jo33": true, "i am at a lake now in JO33": true,
		"change my grid to jo34": true, "moved to jo34": true, "morgen fahre ich nach jo33": true,
		"estoy en un lago en im98": true, "jag är i jo67": true, "jn53 sempre bella": true,
		"di4zab jo43": false, "jo43": false, "my grid jo42, worked hx7tug": false,
	} {
		line := Read(text, Known{})[0]
		if line.Whereabouts != want || want && len(line.Contacts) > 0 {
			t.Errorf("%q: whereabouts %v with %d contacts, want %v", text, line.Whereabouts, len(line.Contacts), want)
		}
		if !want && line.Verdict == Log && text != "di4zab jo43" {
			t.Errorf("%q is certain", text)
		}
	}
}

func TestParseOffset(t *testing.T) {
	for text, want := range map[string]string{
		"+4:10": "4m10s", " +4.10 ": "4m10s", "+95s": "1m35s", "+0:00": "0s", "4:10": "", "+95": "", "+1:75": "", "+4.1": "", "+": "", "": "",
	} {
		got := ""
		if after, ok := ParseOffset(text); ok {
			got = after.Duration().String()
		}
		if got != want {
			t.Errorf("offset %q: got %q, want %q", text, got, want)
		}
	}
}

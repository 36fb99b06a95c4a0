package parse

import "strings"

// trust says how far a spoken word stands for its symbol.
type trust uint8

// The levels. A plain word has no other meaning; a loose one counts only beside
// other spelled symbols; a guess only suggests.
const (
	unspelled trust = iota
	guess
	loose
	plain
)

// spelling is what a spoken word stands for.
type spelling struct {
	trust trust
	// syms are the symbols in upper case, more than one for a group of digits.
	syms string
	// or is another reading, "" if there is none.
	or string
	// filler marks a word that is as often no symbol at all ("to", "for").
	filler bool
}

// The spelling alphabet and the figures of Appendix 14 of the ITU Radio
// Regulations and of ICAO Annex 10, volume II, in the forms in which people
// and dictation write them. One symbol a line, words between commas.
const plainWords = `
A alfa, alpha
B bravo
C charlie, charley, charly, charli
D delta
E echo, ecko
F foxtrot, fox trot, foxtrott
G golf
H hotel, hotell
I india
J juliett, juliet, juliette, julliet, julliett
K kilo
L lima
M mike
N november, novembre
O oscar, oskar
P papa, poppa, pappa
Q quebec, kebec, kebeck, quebeck
R romeo
S sierra, siera
T tango
U uniform
V victor, viktor
W whiskey, whisky, wisky, wiskey
X x ray, xray, ex ray, exray
Y yankee, yankey
Z zulu
0 zero, zeero, nadazero, nought, naught, null
1 one, unaone
2 two, bissotwo
3 three, terrathree
4 four, fower, kartefour
5 five, fife, pantafive
6 six, soxisix
7 seven, sevn, setteseven
8 eight, oktoeight
9 nine, niner, nine er, novenine
`

// Older alphabets, place names and first names in use on the air, national
// alphabets and plausible spellings of the above. Common practice; no source
// but the lists named in testdata/authorities/reading for most of them.
const looseWords = `
A alphas, alpher, al fa, ay, able, ack, america, adam, alaska, africa, amsterdam, argentina, australia, austria, atlantic, apple, ann, albert, alice, anton, arger, aachen, antonio, anatole, ancona
B bravos, brabo, brah vo, bee, baker, beer, boston, brazil, belgium, berlin, boy, bob, barcelona, bermuda, bolivia, baltimore, berta, burgos, berthe, bologna
C charlies, shar lee, cee, canada, chile, china, california, charles, colorado, costa rica, cuba, columbia, cat, casablanca, casar, caesar, chemnitz, carmen, celestin, como
D deltas, delter, dell ta, dalta, dee, dog, don, david, dakota, dallas, dublin, dora, donald, denmark, danmark, dusseldorf, domingo, desire, domodossola
E ekko, eco, echos, echoes, ee, easy, edward, england, egypt, ecuador, ethiopia, europe, emma, estonia, edison, emil, essen, espana, eugene, empoli
F foxtrots, eff, ef, fox, freddie, finland, france, frank, fred, fiji, frankfurt, florida, friedrich, francia, francois, firenze
G gulf, golfs, galf, gee, jee, george, germany, guatemala, geneva, greece, georgia, ghana, gold, gibraltar, gallipoli, gustav, goslar, granada, gaston, genova
H hotels, ho tel, aitch, haitch, how, harry, honolulu, hawaii, holland, henry, hungary, honduras, helsinki, houston, havana, heinrich, hamburg, historia, henri
I in dia, indya, item, ink, italy, italia, ida, iceland, ireland, idaho, indiana, iran, isaac, istanbul, indonesia, ingelheim, ines, irma, imola
J juliets, jewel it, joliet, jay, jig, johnnie, japan, john, jamaica, java, jordan, jack, james, jerusalem, julius, jena, jose, joseph, jolly
K keelo, kilos, key low, keylow, kielo, kelo, quilo, kay, cay, king, kilowatt, kentucky, kenya, kilogram, kilogramme, kansas, kuwait, korea, kitty, kaufmann, konrad, koln, kleber, kappa
L leema, lema, leemah, limas, ell, love, london, luxembourg, lincoln, lisbon, larry, louis, louisiana, lebanon, liverpool, ludwig, leipzig, lorenzo, livorno
M mic, mikes, mikey, em, monkey, mexico, montreal, mary, malta, moscow, madrid, monaco, maryland, manila, madagascar, martha, munchen, marcel, milano
N nov, novembers, en, nan, nuts, norway, nicaragua, nancy, nora, nevada, nigeria, nebraska, nepal, new york, nordpol, nurnberg, navidad, nicolas, napoli
O oscars, osca, oboe, orange, ontario, ocean, ohio, oklahoma, oregon, oslo, offenbach, oviedo, otranto
P papas, pee, peter, pip, pacific, portugal, panama, paul, peru, philadelphia, prague, pennsylvania, paris, paula, potsdam, pierre, palermo
Q queue, kew, queen, quito, qatar, quelle, quickborn, querido, quintal, quarto
R romio, romeos, row me oh, rome o, ar, roger, robert, radio, romania, rome, russia, rio, richard, rhodesia, roma, rostock, ramon, raoul
S ciera, see era, sierras, sea era, cierra, ess, sugar, sweden, spain, scotland, sam, susan, singapore, switzerland, sally, stockholm, santiago, samuel, siegfried, salzwedel, sabado, suzanne, savona
T tangos, tengo, tee, tare, toc, tokyo, texas, turkey, tom, tennessee, thailand, tommy, tripoli, theodor, tubingen, toledo, therese, torino
U uniforms, you niform, yew, uncle, united, uruguay, uganda, ukraine, union, utah, united states, upsala, ulrich, unna, ulises, ursule, udine
V victors, vee, vic, victoria, venezuela, virginia, vienna, vermont, vatican, valencia, volklingen, venezia
W whiskeys, double you, double u, doubleyou, william, wales, wisconsin, wyoming, winnipeg, warsaw, willie, washington, wilhelm, wuppertal
X x rays, xrays, ex, xylophone, xerxes, xavier, xenon, xanthippe, xanten, xilofono
Y yankees, yanky, yank key, yangkee, wye, yoke, yorker, yellow, yugoslavia, young, york, yemen, yukon, yokohama, ypsilon, yegua, yvonne
Z zulus, zoo loo, zoolu, zulo, zed, zee, zebra, zanzibar, zambia, zimbabwe, zagreb, zurich, zacharias, zeppelin, zwickau, zaragoza, zoe, zara
0 ze ro, aught, zeros
1 wun
2 tu
3 tree, threes
4 fore, foor, fours
5 fiver, fives
6 sicks, sixes
7 sev en, sevens
8 ait, eights
9 nin er, nines, niners, neun
10 ten
11 eleven
12 twelve
13 thirteen
14 fourteen
15 fifteen
16 sixteen
17 seventeen
18 eighteen
19 nineteen
20 twenty
30 thirty
40 forty, fourty
50 fifty
60 sixty
70 seventy
80 eighty
90 ninety
`

// Words that are digits in a spelled call and small words elsewhere.
const fillerWords = `
1 won
2 to, too
4 for
8 ate
`

// Words that only suggest a symbol: letter names that are everyday words, and
// mis-hearings. From memory.
const guessWords = `
A eh, alfalfa, offer
B be, bravado
C see, sea
E gecko
F foxtail
G goal
H motel
I eye, aye, indian
J julia
K okay, kilometer, kg
L el, lemur, leaner
M mick, bike
N an
O awesome car
P pea, popper, pop, paper
Q cue, cubic
R are, our
S syria, sarah
T tea, tangle
U you, unicorn, universe
V victory, vector
W whiskers
X extra
Y why
Z sulu
0 zip, hero, nil
1 juan, when, want
2 tue, do
3 free, thee, sri
4 forth
5 hive
6 sex
8 aid, hate
9 nina, nein
`

// spellings gives what each spoken word or phrase stands for; the words of a
// phrase are joined by one space.
var spellings = readSpellings()

// phraseHeads are the first words of phrases.
var phraseHeads = readPhraseHeads()

func readSpellings() map[string]spelling {
	m := map[string]spelling{
		"oh":   {trust: loose, syms: "O", or: "0"},
		"owe":  {trust: guess, syms: "0", or: "O"},
		"otto": {trust: loose, syms: "O"}, // the figure is another language's
	}
	add := func(table string, t trust, filler bool) {
		for line := range strings.Lines(strings.TrimSpace(table)) {
			sym, words, _ := strings.Cut(strings.TrimSpace(line), " ")
			for w := range strings.SplitSeq(words, ", ") {
				m[w] = spelling{trust: t, syms: sym, filler: filler}
			}
		}
	}
	add(guessWords, guess, false)
	add(looseWords, loose, false)
	add(fillerWords, loose, true)
	add(plainWords, plain, false)
	return m
}

func readPhraseHeads() map[string]bool {
	heads := map[string]bool{}
	for phrase := range spellings {
		if head, _, more := strings.Cut(phrase, " "); more {
			heads[head] = true
		}
	}
	return heads
}

package parse

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// lawKnown is what the laws are tried with: a pass on which stations were heard
// and not every grid can be served.
func lawKnown() Known {
	return Known{
		Own: MustParseCallsign("OX9QZT"), OwnGrids: []Grid{MustParseGrid("JO32")}, Birds: []string{"SO-124", "IO-86"},
		Heard:     []Station{{MustParseCallsign("HX2ABC"), []Grid{MustParseGrid("IO91")}}, {MustParseCallsign("KD9XMP/P"), nil}},
		Suffix:    func(string) []Callsign { return []Callsign{MustParseCallsign("VB1QXZ")} },
		Reachable: func(g Grid) bool { return g.String()[0] != 'A' },
	}
}

// certain returns the certain contacts of a reading.
func certain(lines []Line) (found []Contact) {
	for _, l := range lines {
		for _, c := range l.Contacts {
			if c.Verdict == Log {
				found = append(found, c)
			}
		}
	}
	return found
}

// checkLaws fails if the reading of a text breaks a law.
func checkLaws(t *testing.T, text string) {
	t.Helper()
	for _, k := range []Known{{}, lawKnown()} {
		lines := Read(text, k)
		if again := Read(text, k); !reflect.DeepEqual(lines, again) {
			t.Fatalf("%q: read twice, read differently", text)
		}
		for _, l := range lines {
			checkLine(t, l)
			for _, c := range l.Contacts {
				if c.Verdict == Log {
					checkCanonical(t, text, c, k)
					checkRunOn(t, c)
				}
			}
		}
		checkAccount(t, text, k)
		if len(text) < 200 {
			checkUnknownWord(t, text, lines, k)
			checkKept(t, text, k)
			checkUnderDenial(t, text, k)
		}
	}
	once := folded(text).S
	if twice := folded(once).S; twice != once {
		t.Fatalf("%q folds to %q, that to %q", text, once, twice)
	}
}

// checkLine checks that a reading agrees with itself.
func checkLine(t *testing.T, l Line) {
	t.Helper()
	want := Ignore
	for _, c := range l.Contacts {
		switch {
		case (c.Verdict == Log) != (c.Why == ""):
			t.Fatalf("%q: %v because of %q", l.Text, c.Verdict, c.Why)
		case c.Verdict == Log && (!c.Call.IsValid() || CheckGrids(c.Grids) != nil || c.Heard):
			t.Fatalf("%q: certain: %v %v", l.Text, c.Call, c.Grids)
		case len(c.Candidates) > 4:
			t.Fatalf("%q: %d candidates", l.Text, len(c.Candidates))
		case !strings.Contains(l.Text, c.Text):
			t.Fatalf("%q: read from %q", l.Text, c.Text)
		}
		if c.Verdict == Ask {
			want = Ask
		} else if want == Ignore {
			want = Log
		}
	}
	if l.Verdict != want {
		t.Fatalf("%q: %v for %v", l.Text, l.Verdict, l.Contacts)
	}
}

// checkCanonical checks that a certain contact in canonical form reads back as
// itself.
func checkCanonical(t *testing.T, text string, c Contact, k Known) {
	t.Helper()
	var form strings.Builder
	form.WriteString(c.Call.String())
	for _, g := range c.Grids {
		form.WriteString(" " + g.String())
	}
	got := certain(Read(form.String(), k))
	if len(got) != 1 || got[0].Call != c.Call || !reflect.DeepEqual(got[0].Grids, c.Grids) {
		t.Fatalf("%q was read as %q, which reads as %+v", text, form.String(), Read(form.String(), k))
	}
}

// runOn returns the call that a call of one letter behind its figure becomes with the
// letters of a square, if it is legal: "EA7Z KM76" is EA7ZKM and two digits as well.
func runOn(call, grid string) (longer string, ok bool) {
	longer = call + grid[:2]
	return longer, len(grid) == 4 && isDigit(call[len(call)-2]) && callClass(longer) == Valid
}

// checkRunOn checks that a call and a square that can be cut elsewhere are asked about
// where they are spelled without a pause or typed in one, with both readings.
func checkRunOn(t *testing.T, c Contact) {
	t.Helper()
	call, grid := c.Call.String(), c.Grids[0].String()
	longer, ok := runOn(call, grid)
	if !ok || len(c.Grids) > 1 {
		return
	}
	var spelled strings.Builder
	for _, b := range []byte(call + grid) {
		spelled.WriteString(spellingWords[b] + " ")
	}
	for _, text := range []string{spelled.String(), "worked " + spelled.String() + "and it rained", call + grid} {
		line := Read(text, Known{})[0]
		if got := certain([]Line{line}); len(got) > 0 {
			t.Fatalf("%q: certain: %v %v, may be %s", text, got[0].Call, got[0].Grids, longer)
		}
		var offered []string
		for _, x := range line.Contacts[0].Candidates {
			offered = append(offered, x.Call.String()+gridsText(x.Grids))
		}
		if c.Call.Class() == Valid && !(slices.Contains(offered, call+grid) && slices.Contains(offered, longer)) {
			t.Fatalf("%q: offers %v, not %s and %s", text, offered, call+grid, longer)
		}
	}
}

// spellingWords are those of Appendix 14 of the ITU Radio Regulations, and plain figures.
var spellingWords = func() map[byte]string {
	words := map[byte]string{}
	for w := range strings.FieldsSeq("alfa bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike november " +
		"oscar papa quebec romeo sierra tango uniform victor whiskey x-ray yankee zulu") {
		words[upper(w)[0]] = w
	}
	for i, w := range strings.Fields("zero one two three four five six seven eight nine") {
		words['0'+byte(i)] = w
	}
	return words
}()

// checkUnknownWord checks that no unknown word, wherever it is put, makes a
// contact certain that was not there before, certain or offered. It may cut one of
// several grids in two ("jo31 41", "j o 31"): the one left was there. And it may cut a call
// of several words in two ("io9 o"): the grid behind it is that of the other call then.
func checkUnknownWord(t *testing.T, text string, lines []Line, k Known) {
	t.Helper()
	before := map[string]bool{}
	for _, l := range lines {
		for _, c := range l.Contacts {
			before[c.Call.String()+" "+gridsText(c.Grids)] = true
			for _, g := range c.Grids {
				before[c.Call.String()+" "+gridsText([]Grid{g})] = true
			}
			for _, x := range c.Candidates {
				before[x.Call.String()+" "+gridsText(x.Grids)] = true
			}
		}
	}
	for _, l := range lines {
		for _, c := range l.Contacts {
			if strings.Contains(upper(text), c.Call.String()) {
				continue // in one word
			}
			for _, other := range l.Contacts {
				before[other.Call.String()+" "+gridsText(c.Grids)] = true
			}
		}
	}
	for i := range len(text) + 1 {
		if i > 0 && i < len(text) && text[i] != ' ' {
			continue
		}
		longer := text[:i] + " grumbleweed " + text[i:]
		for _, c := range certain(Read(longer, k)) {
			if !before[c.Call.String()+" "+gridsText(c.Grids)] {
				t.Fatalf("%q makes %v %v certain, %q does not:\n%v", longer, c.Call, c.Grids, text, show(lines[0]))
			}
		}
	}
}

// checkAccount checks that every word that was typed is used in a field, neutral, or
// kept in a comment, and that no letter or figure stands outside a word.
func checkAccount(t *testing.T, text string, k Known) {
	t.Helper()
	for s := range strings.SplitSeq(text, "\n") {
		var r reader
		r.read(strings.TrimSuffix(s, "\r"), 1, &k)
		if r.cut || len(r.words) == 0 {
			continue
		}
		at := make([]bool, len(r.text)+1)
		for i := range r.words {
			w := &r.words[i]
			for j := r.f.At(w.from, len(r.text)); j < r.f.At(w.to, len(r.text)); j++ {
				at[j] = true
			}
		}
		for i, c := range r.text {
			if !at[i] && (unicode.IsLetter(c) || unicode.IsDigit(c)) && utf8.ValidString(r.text) {
				t.Fatalf("%q: %q at %d is in no word", r.text, c, i)
			}
		}
		if len(r.groups) == 0 {
			continue
		}
		var comments strings.Builder
		for _, c := range r.line.Contacts {
			comments.WriteString(c.Comment + " ")
		}
		for i, u := range r.uses {
			if word := trimSpan(r.typed(i, i+1)); u == unread && !strings.Contains(comments.String(), word) {
				t.Fatalf("%q: %q is used for nothing and stands in no comment: %q", r.text, word, comments.String())
			}
		}
	}
}

// strangeWords are words that no table knows, in several scripts.
var strangeWords = []string{"grumbleweed", "zärtlich", "глухо", "恋人", "힘들다", "παράξενο", "अजीब", "غريب", "étrangeté"}

// checkKept checks that a word of any script, wherever it is put, leaves no contact
// certain without standing in a comment, or being part of a name.
func checkKept(t *testing.T, text string, k Known) {
	t.Helper()
	n := 0
	for i := range len(text) + 1 {
		if i > 0 && i < len(text) && text[i] != ' ' {
			continue
		}
		word := strangeWords[n%len(strangeWords)]
		n++
		longer := text[:i] + " " + word + " " + text[i:]
		for _, l := range Read(longer, k) {
			kept := !strings.Contains(l.Text, word) || len(certain([]Line{l})) == 0
			for _, c := range l.Contacts {
				kept = kept || strings.Contains(c.Comment, word) || strings.EqualFold(c.Name, word)
			}
			if !kept {
				t.Fatalf("%q: certain, and %q is kept nowhere: %s", longer, word, show(l))
			}
		}
	}
}

// checkUnderDenial checks that a line that denies leaves nothing certain below it, nor
// behind its own colon.
func checkUnderDenial(t *testing.T, text string, k Known) {
	t.Helper()
	if strings.ContainsAny(text, "\n\r") {
		return
	}
	for _, above := range []string{"heard only:", "not worked", "wanted:", "nicht gearbeitet", "plan for tomorrow"} {
		if got := certain(Read(above+"\n"+text, k)); len(got) > 0 {
			t.Fatalf("%q below %q: certain: %v", text, above, got)
		}
		head := strings.TrimSuffix(above, ":") + ": "
		if got := certain(Read(head+text, k)); len(got) > 0 && !strings.ContainsAny(text, ":：") {
			t.Fatalf("%q behind %q: certain: %v", text, head, got)
		}
	}
}

func gridsText(gs []Grid) string {
	var b strings.Builder
	for _, g := range gs {
		b.WriteString(g.String())
	}
	return b.String()
}

// Where a spelled run can be cut in two ways, both are asked; where the longer call would
// have four letters, or a pause or a word stands between, it is certain.
func TestRunOn(t *testing.T) {
	reads(t, Known{}, `
echo alfa seven zulu kilo mike seven six => ask | EA7Z KM76 ambiguous { EA7Z KM76 } { EA7ZKM }
eco alfa siete zulu kilo mike setenta y seis => ask | EA7Z KM76 ambiguous { EA7Z KM76 } { EA7ZKM }
ea7zkm76 => ask | EA7Z KM76 ambiguous { EA7Z KM76 } { EA7ZKM }
echo alfa seven zulu, kilo mike seven six => log | EA7Z KM76
echo alfa seven zulu in kilo mike seven six => log | EA7Z KM76
EA7Z kilo mike seven six => log | EA7Z KM76
echo alfa seven zulu KM76 => log | EA7Z KM76
echo alfa seven zulu echo alfa seven zulu kilo mike seven six => log | EA7Z KM76
echo alfa seven x-ray zulu kilo mike seven six => log | EA7XZ KM76
ea7xzkm76 => log | EA7XZ KM76
`)
	reads(t, Known{Heard: []Station{{Call: MustParseCallsign("EA7Z")}}}, `
echo alfa seven zulu kilo mike seven six => log | EA7Z KM76
`)
	m := newMaker(t, 11)
	for range 400 {
		c := Contact{Call: MustParseCallsign(m.call()), Grids: []Grid{MustParseGrid(m.grid()[:4])}}
		checkRunOn(t, c)
	}
}

// What a line corrects in its own language holds, be it the call or the grid: "not X but Y",
// and "Y, not X" where the word for "not" is not that for "no" in any of them.
func TestNotButs(t *testing.T) {
	m := newMaker(t, 12)
	asked, lines := 0, 0
	for _, form := range []string{
		"not %s but %s", "nicht %s sondern %s", "pas %s mais %s", "pas %s mais plutôt %s", "ce n'est pas %s mais %s", "pas %s plutôt %s", "no %s sino %s",
		"no es %s sino %s", "non %s ma %s", "non è %s bensì %s", "não %s mas %s", "não é %s e sim %s", "niet %s maar %s",
		"het is niet %s maar %s", "inte %s utan %s", "det är inte %s utan %s", "nie %s tylko %s", "nie %s ale %s", "nie %s lecz %s",
		"%s dewa nakute %s", "%s ja nakute %s", "%s janakute %s", "%s ja naku %s", "%s ja nai %s", "- %[2]s not %[1]s", "- %[2]s nicht %[1]s",
		"- %[2]s pas %[1]s", "- %[2]s niet %[1]s", "- %[2]s inte %[1]s", "- %[2]s statt %[1]s", "not %s, %s", "nicht %s, %s",
	} {
		for range 20 {
			call, wrong, grid, off := m.call(), m.call(), m.grid()[:4], m.grid()[:4]
			if call == wrong || grid == off {
				continue
			}
			form, after := strings.CutPrefix(form, "- ") // only for grids: a call may be another's
			texts := []string{call + " " + fmt.Sprintf(form, off, grid), fmt.Sprintf(form, off, grid) + " " + call}
			if !after {
				texts = append(texts, fmt.Sprintf(form, wrong, call)+" "+grid)
			}
			for _, text := range texts {
				got := logged(Read(strings.ToLower(text), Known{}))
				if len(got) > 0 && !slices.Equal(got, []string{contactKey(call, []string{grid})}) {
					t.Errorf("%q is read as %v, not %s %s", text, got, call, grid)
				} else if lines++; len(got) == 0 {
					asked++ // "hx2a no io91 sino io92": "no" may be letters of it
				}
			}
		}
	}
	if t.Logf("%d of %d asked", asked, lines); 10*asked > lines {
		t.Errorf("%d of %d asked about without need", asked, lines)
	}
	reads(t, Known{}, `
hx7bov jn79, no jn78 => ask | HX7BOV JN79 ambiguous { HX7BOV JN79 } { HX7BOV JN78 }
`)
}

// A line that does nothing but doubt, deny or withdraw makes the contact above it asked, in
// each language, and leaves the one below it alone, unless it is a single word that may head
// it; a line about the day does neither.
func TestDoubtsAbove(t *testing.T) {
	above := func(line string) Verdict {
		lines := Read("di4zab jo43\n"+line+"\n\nkd9xmp en52", Known{})
		takeBack(lines)
		if got := logged(lines); !slices.Contains(got, "KD9XMP EN52") && strings.Contains(line, " ") {
			t.Errorf("%q: below it only %v is certain", line, got)
		}
		return lines[0].Verdict
	}
	for line := range strings.Lines(`
forget the line
forget that line
ignore that last line
vergiss die zeile
ach ne, das war gestern ein anderer, vergiss die zeile
oublie la ligne
laisse tomber
olvida la línea
olvida esa línea
esquece essa linha
deixa pra lá
dimentica la riga
lascia perdere
wasurete
sono gyou wasurete kudasai
not sure at all
not sure about that one
the second one to be confirmed
bin mir nicht sicher
gar nicht sicher
der zweite ist unsicher
pas sûr du tout
je suis pas sûr
le deuxième à confirmer, pas sûr du tout
no estoy nada seguro
el segundo dudoso
não tenho certeza
não tenho certeza nenhuma
o segundo é duvidoso
non sono per niente sicuro
il secondo da confermare
jishin nai
amari jishin ga nai desu
niban me wa fukakujitsu
ik weet het niet zeker
inte helt säker
nie jestem pewien
maybe
vielleicht
peut-être
quizás
talvez
forse
tabun
`) {
		if line = strings.TrimSpace(line); line != "" && above(line) != Ask {
			t.Errorf("%q leaves the contact above it certain", line)
		}
	}
	for _, line := range []string{
		"not sure if i should go home", "the bird set", "packed up", "bin nicht sicher ob es regnet", "non sono sicuro che piova",
		"no rain today", "j'ai oublié mon chapeau", "olvidé la gorra", "esqueci o boné", "kasa wo wasureta",
	} {
		if above(line) == Ask {
			t.Errorf("%q makes the contact above it asked", line)
		}
	}
}

// The laws hold for all lines that we make.
func TestLaws(t *testing.T) {
	m := newMaker(t, 99)
	for range 400 {
		for _, make := range []func(*maker) made{(*maker).typedLine, (*maker).spokenLine, (*maker).misheardLine, (*maker).brokenLine, (*maker).slippedLine, (*maker).heapLine, (*maker).deniedLine} {
			checkLaws(t, make(m).text)
		}
	}
	for _, s := range chatters {
		checkLaws(t, s)
	}
	for _, l := range readTruth(t) {
		checkLaws(t, l.Text)
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"hx2abc io91 59 :42", "hotel x-ray two alfa in india oscar nine won", "not abc, abd", "abc io91", "hx2abc jo31/32/41/42",
		"fk40vm3j2qe", "1. hx2abc\nio91; kd9xmp", "heard hx2abc?", "k as in kilo", "double five", "..xmp em12", "ＨＸ２ＡＢＣ ①", "+4:10 t+1:02:03",
		"eco alfa siete zulu kilo mike setenta y seis", "ea7zkm76", "hx2abc io91 or io92 no io93", "hx2abc io9 o io92 no io93", "h22CAA00 A9 iAX no AA0", "+:0M", "A A2\x920;A\xafA00 A2 0A", "bc\x0013) k9x", "bc1\xac3) k9x", "io91\xccG3M\x87o92 no ix9\x85R", "+99999999999999999999s", "b4njo32", "NR8USF grid?", "½ 🇩🇪 1️⃣", "x-ray's 31st thirty one", "w/ k/1/p",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 4096 {
			return
		}
		checkLaws(t, text)
	})
}

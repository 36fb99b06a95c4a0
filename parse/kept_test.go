package parse

import (
	"testing"
	"time"
)

// What is typed is used, harmless by the tables, or kept in the comment.
func TestKept(t *testing.T) {
	reads(t, here, `
perdí 2z4vyo io91 => ask | 2Z4VYO IO91 "perdí" heard denied
hx7abc jo33 später => log | HX7ABC JO33 "später"
слышал hx7abc jo33 => ask | HX7ABC JO33 "слышал" heard denied
зря hx7abc jo33 => log | HX7ABC JO33 "зря"
hx7abc jo33 恋人 => log | HX7ABC JO33 "恋人"
hx7abc jo33 안녕 => log | HX7ABC JO33 "안녕"
tnx hx7abc jo33 nice sig, rainy here 59 73 => log | HX7ABC JO33 59 "rainy here"
hx7abc jo33 5w and a whip => log | HX7ABC JO33 "5w and a whip"
hx7abc jo33 zorro kd9xmp en52 => log | HX7ABC JO33 "zorro" | KD9XMP EN52 "zorro"
hx7abc jo33 zorro, kd9xmp en52 => log | HX7ABC JO33 "zorro" | KD9XMP EN52
hx7abc jo33, zorro kd9xmp en52 => log | HX7ABC JO33 | KD9XMP EN52 "zorro"
anna di4zab jo43 => log | DI4ZAB JO43 name Anna
di4zab jo43 forgot him => ask | DI4ZAB JO43 "forgot him" doubted
di4zab jo43.. => log | DI4ZAB JO43
di4zab i'm98 => log | DI4ZAB IM98
saw plane OX7ECA => ask | OX7ECA "saw plane" doubted
OX7ECA faded => ask | OX7ECA "faded" doubted
tnx OX7ECA => ask | OX7ECA no_grid
di4zabjo43kx9abio91 => ask | ambiguous { DI4ZAB JO43 } { KX9AB IO91 }
kilo golf two for x-ray bravo alfa grid juliett oscar three three => ask | KG2XBA JO33 ambiguous { KG2XBA JO33 } { KG24XBA JO33 }
di4zab\n\n*jo44 => ask | DI4ZAB no_grid \n ignore \n ask | JO44 corrects no_call
have i worked di4zab jo43 => ask asks | DI4ZAB JO43 "have i worked" doubted
all in em12: hx7abc di4zab kd9xmp => log | HX7ABC EM12 | DI4ZAB EM12 | KD9XMP EM12
hx7abc di4zab both jo33 => log | HX7ABC JO33 | DI4ZAB JO33
`)
}

// A prefix and a word that can be said are one call only once that is known.
func TestJoinedWord(t *testing.T) {
	rows := `
ne5 quit co35 => ask | NE5QUIT CO35 unusual { NE5QUIT CO35 }
kt1 quiz ko27 => ask | KT1QUIZ KO27 unusual { KT1QUIZ KO27 }
kx6 xmas ek06 => ask | KX6XMAS EK06 unusual { KX6XMAS EK06 }
kx6 xms ek06 => log | KX6XMS EK06
`
	reads(t, here, rows)
	known := here
	known.Confirmed = func(Callsign) bool { return true }
	known.Heard = []Station{{Call: MustParseCallsign("KT1QUIZ")}}
	reads(t, known, `
ne5 quit co35 => log | NE5QUIT CO35
kt1 quiz ko27 => log | KT1QUIZ KO27
`)
}

// Zero for O in a grid is asked about, with what the bird can serve.
func TestZeroField(t *testing.T) {
	known := here
	known.Reachable = func(g Grid) bool { return g.String()[:2] == "JO" }
	reads(t, known, `
di4zab j043 => ask | DI4ZAB bad_grid { DI4ZAB JO43 }
`)
}

// Numbers behind a noun are no times, and reports have two directions.
func TestNumbersBesideContacts(t *testing.T) {
	reads(t, here, `
hx7abh jo33 qsl 1043 => log | HX7ABH JO33
hx7abh jo33 park 1203 => log | HX7ABH JO33
hx7abh jo33 castle 1203 => log | HX7ABH JO33 "castle 1203"
hx7abh jo33 1203 => log | HX7ABH JO33 12:03
1203 hx7abh jo33 => log | HX7ABH JO33 12:03
hx7abh jo33 los 19:30 => log | HX7ABH JO33
hx7abh jo33 licensed 1957 => log | HX7ABH JO33
hx7abh jo33 gave him 57 => log | HX7ABH JO33 sent 57
hx7abh jo33 57/59 => log | HX7ABH JO33 59 sent 57
hx7abh jo33 59 57 => log | HX7ABH JO33 57 sent 59
hx7abh jo33 got 59 gave 57 => log | HX7ABH JO33 59 sent 57
hx7abh jo33 59 57 55 => log | HX7ABH JO33 57 sent 59 "55"
hx7abh jo33 gab ihm 57 bekam 59 => log | HX7ABH JO33 59 sent 57
`)
}

// A contact may not be one by the bird.
func TestElsewhere(t *testing.T) {
	reads(t, here, `
hx7abc jo33 ft8 => ask | HX7ABC JO33 "ft8" elsewhere
hx7abc jo33 on 2m simplex => ask | HX7ABC JO33 "on 2m simplex" elsewhere
hx7abc jo33 via repeater => ask | HX7ABC JO33 "via repeater" elsewhere
hx7abc jo33 über Relais => ask | HX7ABC JO33 "über Relais" elsewhere
hx7abc jo33 on fm => log | HX7ABC JO33
`)
}

// A typed day is asked about, unless it is that of the pass.
func TestReadDates(t *testing.T) {
	const rows = `
2024-05-20 10:42 kd9xmp jo41 => ask | KD9XMP JO41 10:42 on 2024-05-20 dated
20.5.2024;kd9xmp;jo41;59 => ask | KD9XMP JO41 59 on 2024-05-20 dated
20240520 1042 kd9xmp jo41 => ask | KD9XMP JO41 10:42 on 2024-05-20 dated
kd9xmp jo41 20 may 2024 => ask | KD9XMP JO41 on 2024-05-20 dated
kd9xmp jo41 20. mai => ask | KD9XMP JO41 on --05-20 dated
kd9xmp jo41 may 20th => ask | KD9XMP JO41 on --05-20 dated
kd9xmp jo41 05/06/2024 => ask | KD9XMP JO41 "05/06/2024" dated
2024-05-20\nkd9xmp jo41 => ignore \n ask | KD9XMP JO41 on 2024-05-20 dated
`
	reads(t, here, rows)
	known := here
	known.Date = DateOf(time.Date(2024, 5, 20, 0, 0, 0, 0, time.UTC))
	reads(t, known, `
2024-05-20 10:42 kd9xmp jo41 => log | KD9XMP JO41 10:42 on 2024-05-20
kd9xmp jo41 may 20th => log | KD9XMP JO41 on --05-20
kd9xmp jo41 20/5/24 => log | KD9XMP JO41 on 2024-05-20
kd9xmp jo41 21/5/24 => ask | KD9XMP JO41 on 2024-05-21 dated
2024-05-20\nkd9xmp jo41 => ignore \n log | KD9XMP JO41 on 2024-05-20
`)
}

// A line without a contact may govern the lines below it, never those above.
func TestHeaders(t *testing.T) {
	reads(t, here, `
heard only:\ndi4zab jo43 => ignore \n ask | DI4ZAB JO43 heard denied
not worked\ndi9mor jn48 => ignore \n ask | DI9MOR JN48 heard denied
di4zab jo43\nnot worked\ndi9mor jn48 => log | DI4ZAB JO43 \n ignore \n ask | DI9MOR JN48 heard denied
wanted:\ndi9mor jn48 => ignore \n ask | DI9MOR JN48 doubted
plan for tomorrow\ndi9mor jn48\n\nkd9xmp en52 => ignore \n ask | DI9MOR JN48 doubted \n ignore \n log | KD9XMP EN52
wanted for saturday\n\nkd9xmp en52 => ignore \n ignore \n ask | KD9XMP EN52 doubted
wanted for saturday\n\n\nkd9xmp en52\n\ndi9mor jn48 => ignore \n ignore \n ignore \n ask | KD9XMP EN52 doubted \n ignore \n log | DI9MOR JN48
di4zab jo43\nscratch that, he was answering bob => log | DI4ZAB JO43 \n ignore denies
di4zab jo43\ncancella, era un altro\nkd9xmp en52 => log | DI4ZAB JO43 \n ignore denies \n log | KD9XMP EN52
di4zab jo43\nl'ultimo non mi ha risposto => log | DI4ZAB JO43 \n ignore denies
di4zab jo43\ni think he answered me => log | DI4ZAB JO43 \n ignore denies
wanted:\ndi9mor jn48\nworked:\nkd9xmp en52 => ignore \n ask | DI9MOR JN48 doubted \n ignore \n log | KD9XMP EN52
rainy hill:\ndi4zab jo43\nhx7abc jo33 => ignore \n log | DI4ZAB JO43 "rainy hill" \n log | HX7ABC JO33 "rainy hill"
Forwarded message:\ndi4zab jo43 => ignore \n ask | DI4ZAB JO43 doubted
> di4zab jo43 => ask | DI4ZAB JO43 doubted
di4zab jo43\nlost him => log | DI4ZAB JO43 \n ignore denies
di4zab jo43\nlost him\nkd9xmp en52 => log | DI4ZAB JO43 \n ignore denies \n ask | KD9XMP EN52 heard denied
`)
}

// A phrase before a colon heads all of its line, or the list that it stands right before.
func TestHeadsInLine(t *testing.T) {
	reads(t, here, `
gehört: di4zab jo43, kd9xmp en52 => ask | DI4ZAB JO43 "gehört" heard denied | KD9XMP EN52 heard denied
sentiti stamattina presto: di4zab jo43, kd9xmp en52 => ask | DI4ZAB JO43 "sentiti stamattina presto" heard denied | KD9XMP EN52 heard denied
faltan: di4zab jo43; kd9xmp en52 => ask | DI4ZAB JO43 "faltan" doubted | KD9XMP EN52 doubted
heard: di4zab jo43, ok: kd9xmp en52 => ask | DI4ZAB JO43 "heard" heard denied | KD9XMP EN52
hx7abc jo33, heard: di4zab jo43, kd9xmp en52 => ask | HX7ABC JO33 | DI4ZAB JO43 "heard" heard denied | KD9XMP EN52 heard denied
heard di4zab jo43 and kd9xmp en52, got hx7abc jo33 => ask | DI4ZAB JO43 "heard" heard denied | KD9XMP EN52 heard denied | HX7ABC JO33
worked: di4zab jo43, kd9xmp en52 => log | DI4ZAB JO43 | KD9XMP EN52
`)
}

// What stands beside a whole contact that was typed is its comment; only what touches
// its call or grid may belong to it.
func TestRemarks(t *testing.T) {
	reads(t, here, `
hx7abc jo33 2 dogs barking => log | HX7ABC JO33 "2 dogs barking"
two in a row: hx7abc jo33, kd9xmp en52 => log | HX7ABC JO33 "two in a row" | KD9XMP EN52
hx7abc jo33 Ontario Canada => log | HX7ABC JO33 "Ontario Canada"
hx7abc jo33 with an ic705 => log | HX7ABC JO33 "with an ic705"
hx7abc jo33 5 => ask | HX7ABC JO33 "5" ambiguous
hx7abc jo33 wm => ask | HX7ABC JO33 "wm" ambiguous
hx7abc jo33 *fun* :-D <3 => log | HX7ABC JO33
a) hx7abc jo33 b) kd9xmp en52 => log | HX7ABC JO33 | KD9XMP EN52
hx7abc jo33 s59 r57 => log | HX7ABC JO33 57 sent 59
hx7abc jo33 5.9 => log | HX7ABC JO33 59
hx7abc jo33 59/73 => log | HX7ABC JO33 59
hx7abc jo33 alle 19.42 => log | HX7ABC JO33 19:42
14ji 32fun utc hx7abc jo33 => log | HX7ABC JO33 14:32
stehe in jo42 auf dem deich => ignore
hx7abc jo33 сорвалось => ask | HX7ABC JO33 "сорвалось" heard denied
delta india six quebec november delta india six quebec november juliett oscar four three => log | DI6QN JO43
2A0A AA0 0 grumbleweed A no AA00 => ask | 2A0A AA00 "grumbleweed" ambiguous
`)
}

// Spoken contacts in the forms that dictation gives them.
func TestSpokenForms(t *testing.T) {
	reads(t, here, `
delta india four zulu alfa bravo juliett oscar four three q s l => log | DI4ZAB JO43
kilo x-ray nine or alfa bravo echo november three seven => log | KX9AB EN37
hx2abc / portable io91 => log | HX2ABC/P IO91
hotel x-ray two alfa bravo charlie forward slash P india oscar nine one => log | HX2ABC/P IO91
hotel x-ray two alfa bravo charlie Strich P india oscar neun eins => log | HX2ABC/P IO91
delta india four zulu alfa bravo July at oscar four three => log | DI4ZAB JO43
kilo x-ray nine alfa bravo echo November 3rd 7 => log | KX9AB EN37
delta india four zulu alfa bravo juliett Oscar 3/3 => log | DI4ZAB JO33
kilo rayos X nueve alfa bravo eco november treinta y siete => log | KX9AB EN37
delta india vier zulu alfa bravo juliett oscar dreiundvierzig => log | DI4ZAB JO43
delta india six cue bec november juliett oscar four three => log | DI6QN JO43
kilo x-ray nine alfa bravo in dear november three seven => log | KX9AB IN37
delta india four zulu alfa bravo juliett oscar dirty three => log | DI4ZAB JO33
Um, delta india four zulu alfa bravo, uh, juliett oscar four three => log | DI4ZAB JO43
Um … hx7abc uh … jo33 => log | HX7ABC JO33
Um... delta india four zulu alfa bravo, uh... juliett oscar four three => log | DI4ZAB JO43
delta india uh… four zulu alfa bravo juliett oscar four three => ask | DI4ZAB JO43 repaired { DI4ZAB JO43 }
um hx7abc jo33 => log | HX7ABC JO33 "um"
CQ from delta india four zulu alfa bravo juliett oscar four three => log | DI4ZAB JO43
I repeat delta india four zulu alfa bravo juliett oscar four three => log | DI4ZAB JO43
`)
}

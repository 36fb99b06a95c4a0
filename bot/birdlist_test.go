package bot

import (
	"strings"
	"testing"

	"skyslate/bot/say"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/storage"
)

// sky is the sky as an operator has it.
func (f *field) sky(op storage.OperatorID) *sky.Sky {
	f.t.Helper()
	var own *sky.Sky
	f.must(f.store.View(func(v *storage.View) (err error) {
		own, err = f.desk.skies.Of(v, op)
		return err
	}))
	return own
}

// fresher is OCHRE-1's set with another epoch, as two lines.
const fresher = `OCHRE-1
1 99101U 26901A   26244.45277431  .00016410  00000+0  29000-3 0   12
2 99101  51.6400 120.2711 0006103  77.1200 100.0500 15.48881812 4123`

// What one operator sends or changes is theirs alone.
func TestOwnThingsAreOnesOwn(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	other := storage.Operator{
		ID: "8", Joined: f.now, Cautioned: f.now, Call: parse.MustParseCallsign("OX9QZT"),
		Place: placeAt("JO62"), Remind: storage.DefaultRemind(),
	}
	f.must(f.desk.SetUp(other, f.now))
	f.until(f.now)
	before := f.sky("8")
	f.say(fresher)
	f.say("/birds OCHRE-1 tone 88.5")
	f.say("/birds OCHRE-2 remove")
	f.say("/birds add ANVIL-9 99909 145.85/436.1")
	mine := f.sky("7")
	if e, _ := mine.Elements(99101); !e.Epoch.After(utc("2026-09-01T10:00:00Z")) {
		t.Errorf("the elements sent are not used: those of %v are", e.Epoch)
	}
	if b, _ := mine.Bird("OCHRE-1"); b.Main().ToneHz != 88.5 {
		t.Errorf("the tone changed is %v", b.Main().ToneHz)
	}
	if _, ok := mine.Bird("OCHRE-2"); ok {
		t.Error("a bird removed is still in the list")
	}
	if _, ok := mine.Bird("ANVIL-9"); !ok {
		t.Error("a bird added is not in the list")
	}
	theirs := f.sky("8")
	if theirs != before || theirs != f.desk.skies.Shared {
		t.Error("what one operator changed changed another's sky")
	}
	if e, _ := theirs.Elements(99101); e.Epoch.After(utc("2026-09-01T10:00:00Z")) {
		t.Error("elements that one operator sent are another's too")
	}
	if f.sky("7") != mine {
		t.Error("an operator's sky is made anew although nothing changed")
	}
	again := New(Config{Store: f.store, Sky: inventedSky(t)})
	f.desk = again
	if e, _ := f.sky("7").Elements(99101); !e.Epoch.After(utc("2026-09-01T10:00:00Z")) {
		t.Error("the elements sent are forgotten by a restart")
	}
}

// A name or a note that can't be a bird's is refused.
func TestBirdsRefused(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	for text, want := range map[string]string{
		"/birds add HX7ABC 990001 145.9/435.1":            say.BadBirdName,
		"/birds OCHRE-1 log <EOR>":                        say.BadBirdName,
		"/birds OCHRE-1 note " + strings.Repeat("n", 301): say.LongBirdNote(300),
	} {
		f.say(text)
		if got := f.said[len(f.said)-1].Text; got != want {
			t.Errorf("%.40s: %q", text, got)
		}
		checkFits(t, want)
	}
}

func TestForgetTakesOwnThings(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	f.say(fresher)
	if _, err := f.store.Forget("7", f.now, nil); err != nil {
		t.Fatal(err)
	}
	if f.sky("7") != f.desk.skies.Shared {
		t.Error("elements outlive the operator who sent them")
	}
}

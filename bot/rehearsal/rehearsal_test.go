package rehearsal

import (
	"strings"
	"testing"
	"time"

	"skyslate/bot/sky"
	"skyslate/parse"
)

func open(t *testing.T) Scene {
	t.Helper()
	s, err := Open("local")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The first pass that the operator's own rules would follow has to be a good
// one, and the rehearsal has to start twelve minutes before it.
func TestStartsTwelveMinutesBeforeAGoodPass(t *testing.T) {
	s := open(t)
	birds := sky.New(s.Birds, s.Elements)
	var first time.Time
	for _, bird := range s.Birds {
		passes, err := birds.Passes(s.Operator.Place, bird.Catalog, s.From, s.From.Add(6*time.Hour))
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range passes {
			t.Logf("%s %s to %s, peak %.0f°", bird.Name, p.AOS.Format(time.TimeOnly), p.LOS.Format(time.TimeOnly), p.AtTCA.ElDeg)
			if p.AtTCA.ElDeg < s.Operator.Remind.PeakDeg || !bird.Status.On {
				continue
			}
			if first.IsZero() || p.AOS.Before(first) {
				first = p.AOS
				if long := p.LOS.Sub(p.AOS); long < 10*time.Minute {
					t.Errorf("the pass at %s takes %s, want 10 minutes at least", p.AOS, long)
				}
			}
		}
	}
	if before := first.Sub(s.From); (before - 12*time.Minute).Abs() > time.Second {
		t.Errorf("the first pass begins %s after the start, want 12 minutes", before)
	}
}

// The other pieces of the scene that stories need: two birds up at once, an
// uplink on 70 cm, a bird without a tone and a linear one.
func TestSceneHasTheUsualTroubles(t *testing.T) {
	s := open(t)
	var toneless, high, linear bool
	for _, b := range s.Birds {
		m := b.Main()
		toneless = toneless || m.ToneHz == 0
		high = high || m.UplinkMHz > 400
		linear = linear || m.UplinkWidthKHz > 0
	}
	if !toneless || !high || !linear {
		t.Errorf("toneless %t, 70 cm uplink %t, linear %t: want all", toneless, high, linear)
	}
}

func TestSaysThatItIsInvented(t *testing.T) {
	s := open(t)
	first, _, _ := strings.Cut(s.Opening, "\n\n")
	if !strings.Contains(first, "invented") {
		t.Errorf("the first paragraph does not say that it is invented:\n%s", first)
	}
	for name, file := range map[string]string{"birds.csv": birdsFile, "elements.txt": elementsFile} {
		line, _, _ := strings.Cut(file, "\n")
		if !strings.Contains(strings.ToLower(line), "invented") {
			t.Errorf("%s does not begin by saying that it is invented: %s", name, line)
		}
	}
}

// Everything the opening suggests has to be read for certain.
func TestSuggestedContactsAreCertain(t *testing.T) {
	s := open(t)
	contacts := 0
	for line := range strings.SplitSeq(s.Opening, "\n") {
		text, _, _ := strings.Cut(strings.TrimPrefix(line, "  "), "   ")
		if !strings.HasPrefix(line, "  ") || strings.HasPrefix(text, "~") || strings.HasPrefix(text, "/") {
			continue
		}
		for _, l := range parse.Read(text, parse.Known{Own: s.Operator.Call}) {
			for _, c := range l.Contacts {
				contacts++
				if c.Verdict != parse.Log || !c.Call.IsValid() || len(c.Grids) != 1 {
					t.Errorf("%q is read as %+v, want a certain contact", text, c)
				}
			}
		}
	}
	if contacts != 3 {
		t.Errorf("%d contacts are suggested, want 3", contacts)
	}
}

package sky

import (
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/predict/predicttest"
	"skyslate/storage"
)

func inventedSky(t testing.TB) *Sky { return New(predicttest.Birds(), predicttest.Sets(t)) }

func placeAt(grid string) (p storage.Place) {
	p.LatDeg, p.LonDeg = parse.MustParseGrid(grid).Center()
	return p
}

func utc(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t.UTC()
}

func TestNames(t *testing.T) {
	s := New(predicttest.Birds(), nil)
	for _, tt := range []struct{ name, want string }{
		{"OCHRE-1", "OCHRE-1"},
		{"ochre 1", "OCHRE-1"},
		{"Ochre1", "OCHRE-1"},
		{"oc1", "OCHRE-1"},
		{"ochre one", "OCHRE-1"},
		{"99101", "OCHRE-1"},
		{"sienna", "SIENNA"},
		{"OCHRE", ""},
		{"99999", ""},
		{"", ""},
		{" - ", ""},
	} {
		b, ok := s.Bird(tt.name)
		if b.Name != tt.want || ok != (tt.want != "") {
			t.Errorf("Bird(%q) = %q, %v; want %q", tt.name, b.Name, ok, tt.want)
		}
	}
	if b, ok := s.ByCatalog(99127); !ok || b.Name != "SIENNA" {
		t.Errorf("ByCatalog(99127) = %q, %v", b.Name, ok)
	}
	if b, ok := s.ByCatalog(1); ok {
		t.Errorf("ByCatalog(1) = %q", b.Name)
	}
}

// TestProperNameFirst: another name of one bird never hides the proper name
// of a later one.
func TestProperNameFirst(t *testing.T) {
	s := New([]predict.Bird{{Name: "A-1", Aliases: []string{"B-1"}}, {Name: "B-1"}}, nil)
	if b, _ := s.Bird("b1"); b.Name != "B-1" {
		t.Errorf("Bird(b1) = %q", b.Name)
	}
}

func TestOrphans(t *testing.T) {
	s := New(predicttest.Birds()[:4], predicttest.Sets(t))
	var names []string
	for _, e := range s.Orphans() {
		names = append(names, e.Name)
	}
	if diff := cmp.Diff([]string{"CELADON", "PERSE-5"}, names); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestReplace(t *testing.T) {
	s := inventedSky(t)
	from, to := utc("2026-09-01T00:00:00Z"), utc("2026-09-02T00:00:00Z")
	tableOf := func(catalog int) *predict.Ephemeris {
		t.Helper()
		table, err := s.Ephemeris(catalog, from, to)
		if err != nil {
			t.Fatal(err)
		}
		return table
	}
	first, other := tableOf(99101), tableOf(99102)
	old := first.Elements()

	older := old
	older.Epoch = old.Epoch.Add(-time.Hour)
	s.Replace([]predict.Elements{older})
	if e, _ := s.Elements(99101); e != old {
		t.Errorf("an older set took over: %v", e.Epoch)
	}
	if tableOf(99101) != first {
		t.Error("an older set dropped the table")
	}

	newer := old
	newer.Epoch = old.Epoch.Add(time.Hour)
	s.Replace([]predict.Elements{older, newer, old})
	if e, _ := s.Elements(99101); e != newer {
		t.Errorf("the newest epoch did not win: %v", e.Epoch)
	}
	if got := tableOf(99101).Elements(); got != newer {
		t.Errorf("the table is of %v", got.Epoch)
	}
	if tableOf(99102) != other {
		t.Error("another bird lost its table")
	}
}

func TestSharesTables(t *testing.T) {
	s := inventedSky(t)
	at := utc("2026-09-01T00:00:00Z")
	ask := func(from, to time.Duration) *predict.Ephemeris {
		t.Helper()
		table, err := s.Ephemeris(99101, at.Add(from), at.Add(to))
		if err != nil {
			t.Fatal(err)
		}
		if a, b := table.Span(); a.After(at.Add(from)) || b.Before(at.Add(to)) {
			t.Errorf("asked for %v to %v, got %v to %v", at.Add(from), at.Add(to), a, b)
		}
		return table
	}
	if ask(time.Hour, 2*time.Hour) != ask(20*time.Hour, 23*time.Hour) {
		t.Error("two tables for one day")
	}
	whole := ask(0, 3*day)
	if ask(40*time.Hour, 60*time.Hour) != whole {
		t.Error("a table of three days doesn't serve a part of them")
	}
	if ask(5*time.Hour, 5*time.Hour) == nil {
		t.Error("no table for a single moment")
	}
	for i := range time.Duration(3 * keptTables) {
		ask(i*day, i*day+30*time.Hour)
	}
	if n := len(s.tables[99101]); n != keptTables {
		t.Errorf("%d tables are kept, want %d", n, keptTables)
	}
}

func TestRefuses(t *testing.T) {
	s := inventedSky(t)
	e, _ := s.Elements(99101)
	for _, tt := range []struct {
		name     string
		from, to time.Time
		fine     bool
	}{
		{"at the epoch", e.Epoch, e.Epoch, true},
		{"the last moment", e.Epoch, e.Epoch.Add(predict.MaxAge), true},
		{"past it", e.Epoch, e.Epoch.Add(predict.MaxAge + time.Second), false},
		{"before the epoch", e.Epoch.Add(-predict.MaxAge), e.Epoch, true},
		{"too long before it", e.Epoch.Add(-predict.MaxAge - time.Second), e.Epoch, false},
	} {
		_, err := s.Ephemeris(99101, tt.from, tt.to)
		var stale *StaleError
		if errors.As(err, &stale) == tt.fine {
			t.Errorf("%s: %v", tt.name, err)
		}
		if !tt.fine && (stale.Bird != "OCHRE-1" || stale.Age <= stale.Max) {
			t.Errorf("%s: %+v", tt.name, stale)
		}
	}
	var none *NoElementsError
	if _, err := s.Ephemeris(4711, e.Epoch, e.Epoch); !errors.As(err, &none) || none.Bird != "4711" {
		t.Errorf("a bird without elements: %v", err)
	}
	if _, err := s.Passes(placeAt("JO62qm"), 4711, e.Epoch, e.Epoch.Add(day)); !errors.As(err, &none) {
		t.Errorf("its passes: %v", err)
	}
}

// TestPassesUntilStale: the day on which elements grow too old still has the
// passes before that.
func TestPassesUntilStale(t *testing.T) {
	s := inventedSky(t)
	e, _ := s.Elements(99101)
	limit := e.Epoch.Add(predict.MaxAge)
	passes, err := s.Passes(placeAt("JO62qm"), 99101, limit.Add(-day), limit.Add(day))
	if err != nil || len(passes) == 0 {
		t.Fatalf("%d passes, %v", len(passes), err)
	}
	if last := passes[len(passes)-1]; !last.AOS.Before(limit) {
		t.Errorf("a pass at %v, the limit is %v", last.AOS, limit)
	}
	var stale *StaleError
	if _, err := s.Passes(placeAt("JO62qm"), 99101, limit.Add(time.Minute), limit.Add(day)); !errors.As(err, &stale) {
		t.Errorf("a day later: %v", err)
	}
}

// TestAtOnce lets operators and fresher elements at one Sky together; the
// race detector is the judge, and each gets the table asked for.
func TestAtOnce(t *testing.T) {
	s := inventedSky(t)
	sets := predicttest.Sets(t)
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			fresher := slices.Clone(sets)
			for j := range fresher {
				fresher[j].Epoch = fresher[j].Epoch.Add(time.Duration(i) * time.Second)
			}
			s.Replace(fresher)
			from := utc("2026-09-01T00:00:00Z").Add(time.Duration(i%3) * day)
			for _, b := range s.Birds() {
				if passes, err := s.Passes(placeAt("JO62qm"), b.Catalog, from, from.Add(day)); err != nil || b.Name == "OCHRE-1" && len(passes) == 0 {
					t.Errorf("%s: %d passes, %v", b.Name, len(passes), err)
				}
			}
			s.Orphans()
		})
	}
	wg.Wait()
}

// Passes are found by days; asked for in any span, and again, they are those that
// the table has: once each, over midnight too.
func TestPassesByDays(t *testing.T) {
	s := inventedSky(t)
	place := placeAt("JO62qm")
	begin := utc("2026-09-01T00:00:00Z")
	for _, b := range s.Birds() {
		table, err := s.Ephemeris(b.Catalog, begin, begin.Add(3*day))
		if err != nil {
			t.Fatal(err)
		}
		for _, span := range [][2]time.Duration{{0, 3 * day}, {20 * time.Hour, 28 * time.Hour}, {day, day + time.Second}, {11 * time.Hour, 60 * time.Hour}} {
			from, to := begin.Add(span[0]), begin.Add(span[1])
			want := slices.DeleteFunc(table.Passes(Site(place), from, to, 0), func(p predict.Pass) bool { return p.AOS.IsZero() || p.LOS.IsZero() })
			for range 2 {
				got, err := s.Passes(place, b.Catalog, from, to)
				same := func(p, q predict.Pass) bool { return p.AOS.Sub(q.AOS).Abs()+p.LOS.Sub(q.LOS).Abs() < time.Millisecond }
				if err != nil || !slices.EqualFunc(got, want, same) {
					t.Errorf("%s, %v: %d passes (%v), want %d", b.Name, span, len(got), err, len(want))
				}
			}
		}
	}
}

func TestErrorsName(t *testing.T) {
	for _, err := range []error{
		&NoElementsError{Bird: "OCHRE-1"},
		&StaleError{Bird: "OCHRE-1", Age: 31 * day, Max: predict.MaxAge},
	} {
		if !strings.Contains(err.Error(), "OCHRE-1") {
			t.Errorf("%v doesn't name the bird", err)
		}
	}
}

// BenchmarkPasses is a day of one bird over one more place, the table there
// already.
func BenchmarkPasses(b *testing.B) {
	s := inventedSky(b)
	from := utc("2026-09-01T00:00:00Z")
	place := placeAt("JO62qm")
	for b.Loop() {
		place.LatDeg += 1e-6
		if _, err := s.Passes(place, 99101, from, from.Add(day)); err != nil {
			b.Fatal(err)
		}
	}
}

package logbook_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/parse/adif"
	"skyslate/storage"
	"skyslate/storage/logbook"
	"skyslate/storage/storagetest"
)

// line writes a record of an invented contact.
func line(call, date, clock, more string) string {
	field := func(name, value string) string { return fmt.Sprintf("<%s:%d>%s", name, len(value), value) }
	return field("CALL", call) + field("QSO_DATE", date) + field("TIME_ON", clock) + more + "<EOR>\n"
}

const (
	satellite = "<SAT_NAME:8>WICKET-1<PROP_MODE:3>SAT<FREQ:7>145.965<STATION_CALLSIGN:6>HX7KZQ"
	locator   = "<GRIDSQUARE:4>JO43"
)

var importing = logbook.Importer{Operator: storage.Operator{ID: "7", Call: parse.MustParseCallsign("HX7KZQ")}}

// take imports a text into a store in slices of n and returns how far it got.
func take(t *testing.T, s *storage.Store, im logbook.Importer, text string, n int) logbook.Progress {
	t.Helper()
	var p logbook.Progress
	for slice := 0; !p.Done; slice++ {
		op := im.Operator
		ch := storage.Changes{Operator: &op}
		err := s.View(func(v *storage.View) error {
			r := adif.NewReaderAt(strings.NewReader(text[p.At.Offset:]), p.At)
			found, err := im.Take(v, r, n, &p)
			next := v.NextContact(op.ID)
			for _, c := range found {
				if c.ID == 0 {
					c.ID, next = next, next+1
				}
				c.Operator, c.Version = op.ID, c.Version+1
				ch.Contacts = append(ch.Contacts, c)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Commit(fmt.Sprintf("%p %v %d", t, time.Now().UnixNano(), slice), time.Unix(0, 0), ch); err != nil {
			t.Fatal(err)
		}
	}
	return p
}

func logged(t *testing.T, s *storage.Store) (all []storage.Contact) {
	t.Helper()
	err := s.View(func(v *storage.View) (err error) {
		all, err = v.Contacts("7", time.Time{}, time.Date(3000, 1, 1, 0, 0, 0, 0, time.UTC))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// However a file is cut into slices, the same contacts come of it, and a second
// reading adds nothing.
func TestTakeInSlices(t *testing.T) {
	var text strings.Builder
	text.WriteString("An invented log <EOH>\n")
	for n := range 23 {
		text.WriteString(line(fmt.Sprintf("DI%dZA%c", n%10, 'A'+n), "20270102", fmt.Sprintf("10%02d", n), satellite+locator))
	}
	for _, n := range []int{1, 2, 7, 100} {
		s := storagetest.Open(t)
		p := take(t, s, importing, text.String(), n)
		if p.Records != 23 || p.Fresh != 23 || p.Broken != 0 {
			t.Errorf("slices of %d: %+v", n, p)
		}
		again := take(t, s, importing, text.String(), n)
		if again.Records != 23 || again.Fresh != 0 || len(logged(t, s)) != 23 {
			t.Errorf("again, slices of %d: %+v", n, again)
		}
		im := importing
		im.IntoLog = true
		if p := take(t, s, im, text.String(), n); p.Fresh != 23 || len(logged(t, s)) != 23 {
			t.Errorf("into the log, slices of %d: %+v", n, p)
		}
		for _, c := range logged(t, s) {
			if c.State != storage.Certain || c.Version != 2 {
				t.Fatalf("%+v", c)
			}
		}
	}
}

// A broken record is told with its position, and the rest is read.
func TestTakePassesOverWhatIsBroken(t *testing.T) {
	text := "An invented log <EOH>\n" +
		line("DI4ZAB", "20270102", "1000", satellite) +
		"<CALL:6>DI4ZACX<EOR>\n" + // a length that cuts the call short
		line("DI4ZAD", "20271302", "1000", "") + // no such month
		line("DI4ZAE", "20270102", "1001", satellite)
	s := storagetest.Open(t)
	p := take(t, s, importing, text, 2)
	if p.Fresh != 2 || p.Broken != 2 {
		t.Errorf("%+v", p)
	}
	all := strings.Join(p.Faults, "\n")
	for _, want := range []string{"3:1: ", "4:", "QSO_DATE \"20271302\""} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not in %q", want, all)
		}
	}
}

// What is the same contact, and what is another.
func TestSame(t *testing.T) {
	read := func(text string) storage.Contact {
		rec, err := adif.NewReader(strings.NewReader(text)).Read()
		if err != nil {
			t.Fatal(err)
		}
		c, err := logbook.Contact(rec)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	base := read(line("DI4ZAB", "20270102", "1000", satellite))
	for text, want := range map[string]bool{
		line("DI4ZAB", "20270102", "1014", satellite):                                       true,
		line("DI4ZAB", "20270102", "1016", satellite):                                       false,
		line("DI4ZAB/P", "20270102", "1000", satellite):                                     false,
		line("DI4ZAB", "20270102", "1000", ""):                                              true,
		line("DI4ZAB", "20270102", "1000", "<SAT_NAME:7>wicket1"):                           true,
		line("DI4ZAB", "20270102", "1000", "<SAT_NAME:9>HAYLOFT-2"):                         false,
		line("DI4ZAB", "20270102", "1000", "<BAND:4>70cm"):                                  false,
		line("DI4ZAB", "20270102", "1000", "<BAND:2>2M"):                                    true,
		line("DI4ZAB", "20270102", "1000", "<STATION_CALLSIGN:8>HX7KZQ/P"):                  false,
		line("DI4ZAB", "20270102", "1000", "<FREQ:6>144.3 <SAT_NAME:8>WICKET-1<MODE:3>SSB"): true,
		line("DI4ZAB", "20270103", "1000", satellite):                                       false,
	} {
		if got := logbook.Same(base, read(text)); got != want {
			t.Errorf("%s: same %v, want %v", text, got, want)
		}
	}
}

// What we have no row for survives from a file to the next.
func TestImportedFieldsSurvive(t *testing.T) {
	const more = "<STATE:2>NI<DXCC:3>230<APP_INVENTED_THING:4>kept<NOTES:12>a\r\nb < c > d"
	s := storagetest.Open(t)
	im := importing
	im.IntoLog = true
	take(t, s, im, line("DI4ZAB", "20270102", "100059", satellite+locator+more), 10)
	var b bytes.Buffer
	if err := logbook.Write(&b, logged(t, s), time.Unix(0, 0), "test"); err != nil {
		t.Fatal(err)
	}
	rec, err := adif.NewReader(&b).Read()
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"STATE": "NI", "DXCC": "230", "APP_INVENTED_THING": "kept", "NOTES": "a\r\nb < c > d", "TIME_ON": "100059", "SAT_NAME": "WICKET-1",
	} {
		if got, _ := rec.Get(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

// A contact in the log without its grid lets the file's grid be remembered, and
// the file can't put the contact there again.
func TestGridRemembered(t *testing.T) {
	s := storagetest.Open(t)
	im := importing
	im.IntoLog = true
	take(t, s, im, line("DI4ZAB", "20270102", "1000", satellite), 10)
	p := take(t, s, importing, line("DI4ZAB", "20270102", "1001", satellite+locator), 10)
	if p.Fresh != 1 {
		t.Errorf("to remember: %+v", p)
	}
	p = take(t, s, im, line("DI4ZAB", "20270102", "1001", satellite+locator), 10)
	if all := logged(t, s); p.Fresh != 0 || len(all) != 2 || all[1].State != storage.Remembered {
		t.Errorf("into the log: %+v %+v", p, all)
	}
}

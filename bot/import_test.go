package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/exchange"
	"skyslate/bot/lists"
	"skyslate/bot/say/limits"
	"skyslate/storage"
)

// A long log is read in slices, one moment of the agenda each, and what is said
// between two of them is answered.
func TestImportLeavesRoomBetweenSlices(t *testing.T) {
	f := newField(t, "2026-11-24T10:00:00Z")
	var log strings.Builder
	log.WriteString("An invented log <EOH>\n")
	const records = 2*exchange.ImportSlice + 100
	for n := range records {
		fmt.Fprintf(&log, "<CALL:7>DI%d%c%c%cX<QSO_DATE:8>20260401<TIME_ON:4>0912<GRIDSQUARE:4>JO43<EOR>\n",
			n%10, 'A'+n/10%26, 'A'+n/260%26, 'A'+n/6760%26)
	}
	f.event(event.Event{Kind: event.Handed, Message: 900, File: &event.Document{Name: "long.adi", Body: []byte(log.String())}})
	for slice := 1; ; slice++ {
		f.now = f.now.Add(exchange.ImportPause)
		n, err := f.desk.Due(f.now)
		f.must(err)
		got := len(lists.Filter(f.contacts(), func(c storage.Contact) bool { return c.State == storage.Remembered }))
		if want := min(slice*exchange.ImportSlice, records); n != 1 || got != want {
			t.Fatalf("slice %d: %d moments, %d contacts, want 1 and %d", slice, n, got, want)
		}
		said := len(f.said)
		f.say("/help")
		if len(f.said) == said {
			t.Fatalf("slice %d: nothing is answered", slice)
		}
		if got == records {
			break
		}
	}
}

// A log of which the store has lost a part, or all, is asked for again, and its
// import holds up nothing.
func TestImportOfWhatIsLost(t *testing.T) {
	const text = "An invented log <EOH>\n<CALL:6>DI4ZAB<QSO_DATE:8>20260401<TIME_ON:4>0912<GRIDSQUARE:4>JO43<EOR>\n"
	piece := storage.OwnKey("7", "import/900/000000")
	for name, c := range map[string]struct {
		file event.Document
		lose func(*field)
	}{
		"a piece": {event.Document{Name: "a.adi", Body: []byte(text)}, func(f *field) {
			f.must(f.store.Accept(map[string][]byte{piece: nil}))
		}},
		"a document": {event.Document{Name: "a.adi", Size: int64(len(text))}, func(f *field) {
			f.must(f.store.DropDocument("log"))
		}},
	} {
		t.Run(name, func(t *testing.T) {
			f := newField(t, "2026-11-24T10:00:00Z")
			_, err := f.store.KeepDocument("log", strings.NewReader(text), 1000)
			f.must(err)
			f.event(event.Event{ID: "log", Kind: event.Handed, Message: 900, File: &c.file})
			c.lose(f)
			f.until(f.now.Add(time.Minute))
			if f.count(limits.FileGone) != 1 {
				t.Errorf("said: %q", f.texts(0))
			}
			for _, c := range f.contacts() {
				t.Errorf("contact with %s", c.Call)
			}
		})
	}
}

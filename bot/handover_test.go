package bot

import (
	"fmt"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// A hand-over of what is new costs little beside however long a log was imported,
// whether it is only remembered or stands in the log.
func BenchmarkHandOver(b *testing.B) {
	const many = 100_000
	for _, state := range []storage.State{storage.Remembered, storage.Certain} {
		b.Run(string(state), func(b *testing.B) {
			f := newField(b, "2026-09-01T13:14:00Z") // OCHRE-1 is up
			for first := 0; first < many; first += 5000 {
				var ch storage.Changes
				op := f.operator()
				ch.Operator = &op
				for n := first; n < first+5000; n++ {
					c := storage.Contact{
						Operator: "7", ID: uint64(n + 1), Version: 1, Made: f.now, State: state,
						Cause: storage.Cause{Kind: tx.CauseImport},
						Call:  parse.MustParseCallsign(fmt.Sprintf("OX%d%c%c%c", n/13824%10, 'A'+n/576%24, 'A'+n/24%24, 'A'+n%24)),
						Grids: []parse.Grid{parse.MustParseGrid("JO33")}, OwnCall: op.Call, OwnGrids: op.Place.Grids,
						Bird: storage.BirdRef{Name: "OCHRE-1", LogName: "OCHRE-1"}, Time: f.now.Add(-time.Duration(many-n) * time.Hour),
						UplinkMHz: 145.99, DownlinkMHz: 436.8, Mode: "FM", TimeSource: storage.FromTyped,
						Fields: map[string]string{"COMMENT": "an invented log", "STATE": "remembered"},
					}
					ch.Contacts = append(ch.Contacts, c)
					if state == storage.Certain {
						ch.Handed = append(ch.Handed, storage.ContactRef{ID: c.ID, Version: c.Version})
					}
				}
				f.must(f.store.Commit(fmt.Sprint("import", first), f.now, ch))
			}
			f.say("di4zab jo43")
			for _, words := range []string{"/adif", "/adif pass", "/log"} {
				n := 0
				b.Run(words, func(b *testing.B) {
					for b.Loop() {
						n++
						p, err := f.desk.plan(event.Event{ID: fmt.Sprint(words, n), Operator: "7", At: f.now, Kind: event.Said, Message: 100, Text: words})
						f.must(err)
						if words != "/log" && (len(p.Posts) != 1 || len(p.Posts[0].Recipe.Contacts) != 1) {
							b.Fatalf("%+v", p.Posts)
						}
					}
				})
			}
		})
	}
}

package bot

import (
	"testing"

	"skyslate/bot/event"
	"skyslate/bot/layout"
	"skyslate/storage"
)

// A post that is out is edited where its text or the style of it changes, and only
// then; one that was stored before texts had styles too.
func TestStylesAreContent(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	f.must(f.store.Commit("before", f.now, storage.Changes{Posts: []storage.Post{{
		Name: "7/x", Operator: "7", Made: f.now, Op: storage.Send, Text: "12:00 JO33",
	}}}))
	f.deliver()
	put := func(text string) (owed []storage.Post) {
		t.Helper()
		f.must(f.store.View(func(v *storage.View) error {
			plan := newPlan(f.desk, v, event.Event{ID: "e", Operator: "7", At: f.now, Now: f.now, Kind: event.Moment})
			plan.Put(storage.Post{Name: "7/x", Text: text})
			owed = plan.Posts
			return plan.Err
		}))
		return owed
	}
	if owed := put("12:00 JO33"); len(owed) > 0 {
		t.Errorf("nothing changed, and owed is %+v", owed)
	}
	owed := put("\x0212:00 JO33")
	if len(owed) != 1 || owed[0].Op != storage.Edit || owed[0].Text != "12:00 JO33" ||
		len(owed[0].Spans) != 1 || owed[0].Spans[0] != (storage.Span{End: 10, Style: storage.Table}) {
		t.Fatalf("a table now, and owed is %+v", owed)
	}
	f.must(f.store.Commit("after", f.now, storage.Changes{Posts: owed}))
	f.deliver()
	if last := f.said[len(f.said)-1]; len(last.Spans) != 1 || last.Text != "12:00 JO33" {
		t.Errorf("goes out as %+v", last)
	}
	if owed := put("\x0212:00 JO33"); len(owed) > 0 {
		t.Errorf("out as a table, and owed is %+v", owed)
	}
	if storage.Style(layout.Bold) != storage.Bold || storage.Style(layout.Table) != storage.Table {
		t.Error("styles are stored by other names than they are made")
	}
}

package fetch

import (
	"slices"
	"testing"
	"time"

	"skyslate/bot"
	"skyslate/bot/sky"
	"skyslate/storage/storagetest"
)

// A queue comes back as it was written, in its order; a copy that is thrown away has
// changed nothing.
func TestQueue(t *testing.T) {
	desk := bot.New(bot.Config{Store: storagetest.Open(t), Sky: sky.New(nil, nil)})
	at := time.Date(2027, 5, 23, 10, 45, 0, 0, time.UTC)
	q, err := Read(desk, "app/fetch/")
	if err != nil {
		t.Fatal(err)
	}
	for i, raw := range []string{"a/10", "a/9", "a/8"} {
		q.Await(Wanted{Raw: raw, At: at.Add(time.Duration(i/2) * time.Second), Update: []byte("{}"), Operator: "7"})
	}
	thrown := q
	thrown.Drop(func(Wanted) bool { return true })
	thrown.Await(Wanted{Raw: "a/11", At: at, Update: []byte("{}")})
	if err := desk.Accept(q.Changed()); err != nil {
		t.Fatal(err)
	}
	q.Written()
	if len(q.Changed()) != 0 || q.HasRoom("7", 3) || !q.HasRoom("7", 4) || !q.HasRoom("8", 1) {
		t.Errorf("%d are still to be written, or rooms are counted wrong", len(q.Changed()))
	}
	again, err := Read(desk, "app/fetch/")
	if err != nil {
		t.Fatal(err)
	}
	var raws []string
	for _, w := range again.list {
		raws = append(raws, w.Raw)
	}
	if want := []string{"a/9", "a/10", "a/8"}; !slices.Equal(raws, want) {
		t.Errorf("got %q, want %q", raws, want)
	}
	again.Drop(func(w Wanted) bool { return w.Raw != "a/8" })
	if err := desk.Accept(again.Changed()); err != nil {
		t.Fatal(err)
	}
	if last, err := Read(desk, "app/fetch/"); err != nil || last.Len() != 1 || !last.Awaits("a/8") {
		t.Errorf("%d left, %v", last.Len(), err)
	}
}

package filing

import (
	"testing"
	"time"

	"skyslate/storage"
	"skyslate/storage/phones"
)

// A delivery is named by its moment and its phone; an answer that names no message, as
// those did which were stored once, holds for every phone.
func TestDeliveryIDs(t *testing.T) {
	at := time.Date(2027, 5, 27, 10, 0, 0, 0, time.UTC)
	ofMate, _ := phones.Message(1, 7)
	own := DeliveryOf(&storage.Evidence{Kind: storage.EvSaid, Message: 7, Began: at})
	mates := DeliveryOf(&storage.Evidence{Kind: storage.EvSaid, Message: ofMate, Began: at})
	if own == mates || !own.Began().Equal(at) || !mates.Began().Equal(at) || int64(own) != at.UnixMilli() {
		t.Errorf("deliveries %d, of %s, and %d, of %s", own, own.Began(), mates, mates.Began())
	}
	for _, c := range []struct {
		message    int64
		own, mates bool
	}{{0, true, true}, {5, true, false}, {ofMate, false, true}} {
		ev := storage.Evidence{Kind: storage.EvPass, Delivery: at, Message: c.message}
		if own.AnsweredBy(&ev) != c.own || mates.AnsweredBy(&ev) != c.mates {
			t.Errorf("an answer of message %d is for one %v, for the other %v", c.message, own.AnsweredBy(&ev), mates.AnsweredBy(&ev))
		}
	}
	if other := (storage.Evidence{Kind: storage.EvPass, Delivery: at.Add(time.Millisecond)}); own.AnsweredBy(&other) {
		t.Error("an answer of another moment is taken")
	}
}

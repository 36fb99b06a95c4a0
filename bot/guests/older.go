package guests

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

// packed is the book with everybody in it, as it was kept while it was all one value.
type packed struct {
	book
	said
	Members moments `json:"members"` // let in by invitation, and when
	Gone    moments `json:"gone"`    // those who have blocked the bot
}

// readBook reads the book, or an older form of it, which it writes anew.
func readBook(desk *bot.Desk, older string) (book, error) {
	kept, err := desk.Kept(bookKey)
	if err != nil {
		return book{}, err
	}
	old, err := desk.Kept(older)
	if err != nil {
		return book{}, err
	}
	var p packed
	today := len(kept) > 0
	switch {
	case today:
		err = json.Unmarshal(kept, &p)
	case len(old) > 0:
		p, err = readOlder(old)
	}
	if err != nil {
		return book{}, fmt.Errorf("what is kept of who is let in is damaged: %w", err)
	}
	p.book.said = p.said
	if kept, err = desk.Kept(saidKey); err == nil && len(kept) > 0 {
		err = json.Unmarshal(kept, &p.book.said)
	}
	if err != nil {
		return book{}, fmt.Errorf("what is kept of what was said to guests is damaged: %w", err)
	}
	isIn := func(i invitation) bool { return i.Guest != "" && i.Off.IsZero() }
	asToday := len(p.Members)+len(p.Gone) == 0 && !slices.ContainsFunc(p.Invited, isIn)
	if asToday && (today || len(old) == 0) {
		return p.book, nil
	}
	return p.unpack(desk, isIn)
}

// unpack gives everybody in the book a value of their own, on disk.
func (p packed) unpack(desk *bot.Desk, isIn func(invitation) bool) (book, error) {
	d := Draft{values: map[string][]byte{}}
	people := map[storage.OperatorID]person{}
	for op, at := range p.Members {
		people[op] = person{In: at, Gone: p.Gone[op]}
	}
	for op, at := range p.Gone {
		who := people[op]
		who.Gone = at
		people[op] = who
	}
	for _, i := range p.Invited {
		if isIn(i) {
			who := people[i.Guest]
			who.Numbers = append(who.Numbers, i.Number)
			people[i.Guest] = who
			d.put(guestKey(i.Number), i)
			p.Guests++
		}
	}
	p.Invited = slices.DeleteFunc(p.Invited, isIn)
	for op, who := range people {
		d.putPerson(op, who)
	}
	// The book comes last: until then the older form is all there, and read again.
	for keys := range slices.Chunk(slices.Sorted(maps.Keys(d.values)), unpackedAtOnce) {
		part := map[string][]byte{}
		for _, key := range keys {
			part[key] = d.values[key]
		}
		if err := cmp.Or(d.err, desk.Accept(part)); err != nil {
			return book{}, err
		}
	}
	d.values = map[string][]byte{}
	d.putBook(p.book)
	return p.book, cmp.Or(d.err, desk.Accept(d.values))
}

// unpackedAtOnce bounds the transactions in which an older book is written anew.
const unpackedAtOnce = 1000

// older is the book as it stood in the memory of the one app there was, beside
// that app's own values. Everybody was a number.
type older struct {
	Owner   int64   `json:"owner"`
	Used    string  `json:"used"`
	Members moments `json:"members"` // numbers as keys are text in JSON
	Gone    moments `json:"gone"`
	Told    moments `json:"told"`
	// Invites are open invitations of a still older form: codes, and when they end.
	Invites map[string]time.Time `json:"invites"`
	Invited []struct {
		invitation
		Guest int64 `json:"guest"` // hides the one of today
	} `json:"invited"`
	Numbered int       `json:"numbered"`
	Faults   time.Time `json:"faults"`
	Notices  []struct {
		Notice
		Chat int64 `json:"chat"`
	} `json:"notices"`
	Count uint64 `json:"count"`
}

// readOlder makes a book of the form in an app's memory.
func readOlder(kept []byte) (packed, error) {
	var o older
	if err := json.Unmarshal(kept, &o); err != nil {
		return packed{}, err
	}
	b := packed{Members: o.Members, Gone: o.Gone, book: book{
		Owner: numbered(o.Owner), Used: o.Used, Numbered: o.Numbered, Faults: o.Faults,
	}, said: said{Told: o.Told, Count: o.Count}}
	for _, i := range o.Invited {
		i.invitation.Guest = numbered(i.Guest)
		b.Invited = append(b.Invited, i.invitation)
	}
	for _, n := range o.Notices {
		n.To = numbered(n.Chat)
		b.said.Notices = append(b.said.Notices, n.Notice)
	}
	b.complete(o.Invites)
	return b, nil
}

// numbered is how somebody is known of whom the older form has the number; 0 is
// nobody.
func numbered(n int64) storage.OperatorID {
	if n == 0 {
		return ""
	}
	return storage.OperatorID(strconv.FormatInt(n, 10))
}

// complete gives every invitation of which only the code was kept, and everybody
// who came in before invitations were kept at all, an entry in the list.
func (p *packed) complete(codes map[string]time.Time) {
	for _, code := range slices.Sorted(maps.Keys(codes)) {
		p.add(invitation{Hash: hashed(code), Until: codes[code]})
	}
	for _, op := range slices.SortedFunc(maps.Keys(p.Members), byNumber) {
		if !slices.ContainsFunc(p.Invited, func(i invitation) bool { return i.Guest == op && i.Off.IsZero() }) {
			p.add(invitation{Until: p.Members[op], Guest: op, Came: p.Members[op]})
		}
	}
}

// byNumber orders numbers that are text.
func byNumber(x, y storage.OperatorID) int {
	return cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y))
}

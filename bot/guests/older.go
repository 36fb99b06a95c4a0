package guests

import (
	"cmp"
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"time"

	"skyslate/storage"
)

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

// readOlder makes a book of an older form.
func readOlder(kept []byte) (book, error) {
	var o older
	if err := json.Unmarshal(kept, &o); err != nil {
		return book{}, err
	}
	b := book{
		Owner: numbered(o.Owner), Used: o.Used, Members: o.Members, Gone: o.Gone, Told: o.Told,
		Numbered: o.Numbered, Faults: o.Faults, Count: o.Count,
	}
	for _, i := range o.Invited {
		i.invitation.Guest = numbered(i.Guest)
		b.Invited = append(b.Invited, i.invitation)
	}
	for _, n := range o.Notices {
		n.To = numbered(n.Chat)
		b.Notices = append(b.Notices, n.Notice)
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
func (b *book) complete(codes map[string]time.Time) {
	for _, code := range slices.Sorted(maps.Keys(codes)) {
		b.add(invitation{Hash: hashed(code), Until: codes[code]})
	}
	for _, op := range slices.SortedFunc(maps.Keys(b.Members), byNumber) {
		if !slices.ContainsFunc(b.Invited, func(i invitation) bool { return i.Guest == op && i.Off.IsZero() }) {
			b.add(invitation{Until: b.Members[op], Guest: op, Came: b.Members[op]})
		}
	}
}

// byNumber orders numbers that are text.
func byNumber(x, y storage.OperatorID) int {
	return cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y))
}

// Package named is the index of who lets their log be held against those of others, by
// their call, and of the contacts of such a log, by the call that they name: keys that say
// all.
//
//	callers  part, call, operator, since   a part is the call, or it without one or two symbols,
//	                                       or the call spelled backwards behind "<"
//	named    call, time, operator, number  of a contact
//
// A call with one or two symbols off shares a part with the other. So a call, and those
// like it, are found in as many steps as it has parts, however many callers there are;
// and the contacts that name a call at some time are neighbours.
//
// Calls here are bases, without what stands before and behind them: three symbols at least.
package named

import (
	"bytes"
	"slices"
	"strings"
	"time"

	"skyslate/parse/slip"
	"skyslate/storage/keys"
	"skyslate/storage/table"
)

// most is how many symbols a call may be off.
const most = 2

// backwards leads the parts that are calls spelled backwards.
const backwards = "<"

// A Caller is an operator who goes by a call, compared with others since a moment.
type Caller struct {
	Call, Operator string
	Since          time.Time
}

// Keys are the caller's entries.
func (c Caller) Keys() (all [][]byte) {
	for _, part := range append(parts(c.Call), backwards+keys.Backwards(c.Call)) {
		all = append(all, slices.Concat(keys.Text(part), keys.Text(c.Call), keys.Text(c.Operator), keys.Time(c.Since)))
	}
	return all
}

// parts are a call and what is left of it without one or two of its symbols.
func parts(call string) []string {
	all := []string{call}
	for from, n := 0, 0; n < most; n++ {
		end := len(all)
		for _, s := range all[from:end] {
			for i := range s {
				if shorter := s[:i] + s[i+1:]; shorter != "" && !slices.Contains(all, shorter) {
					all = append(all, shorter)
				}
			}
		}
		from = end
	}
	return all
}

// By are those who go by just that call.
func By(callers table.Bucket, call string) []Caller {
	return under(callers, slices.Concat(keys.Text(call), keys.Text(call)))
}

// Near are those who go by a call that is off by at most two symbols, in order.
func Near(callers table.Bucket, call string) (all []Caller) {
	for _, part := range parts(call) {
		for _, c := range under(callers, keys.Text(part)) {
			if slip.Slips(call, c.Call) <= most && !slices.Contains(all, c) {
				all = append(all, c)
			}
		}
	}
	slices.SortFunc(all, func(a, b Caller) int { return bytes.Compare([]byte(a.Operator), []byte(b.Operator)) })
	return all
}

// Beginning are those who go by a call that begins so.
func Beginning(callers table.Bucket, head string) (all []Caller) {
	for _, c := range under(callers, []byte(head)) { // parts of others begin so, too
		if strings.HasPrefix(c.Call, head) && !slices.Contains(all, c) {
			all = append(all, c)
		}
	}
	return all
}

// Ending are those who go by a call that ends so.
func Ending(callers table.Bucket, tail string) []Caller {
	return under(callers, []byte(backwards+keys.Backwards(tail)))
}

// under are the callers of the entries that begin so.
func under(callers table.Bucket, prefix []byte) (all []Caller) {
	for k := range callers.Up(keys.With(prefix)) {
		_, rest, _ := bytes.Cut(k, []byte{0})
		call, rest, _ := bytes.Cut(rest, []byte{0})
		op, since, _ := bytes.Cut(rest, []byte{0})
		all = append(all, Caller{string(call), string(op), keys.TimeOf(since)})
	}
	return all
}

// Key is the entry of a contact that names a call.
func Key(call string, at time.Time, operator string, contact uint64) []byte {
	return slices.Concat(keys.Text(call), keys.Time(at), keys.Text(operator), keys.Uint(contact))
}

// Visit visits the contacts that name a call in a range of time, from ≤ t < before, by
// time, until more says stop.
func Visit(named table.Bucket, call string, from, before time.Time, more func(operator string, contact uint64) bool) {
	prefix := keys.Text(call)
	start, end := append(bytes.Clone(prefix), keys.Time(from)...), append(bytes.Clone(prefix), keys.Time(before)...)
	for k := range named.Up(start, end) {
		rest := k[len(prefix)+keys.TimeLen:]
		if !more(string(rest[:len(rest)-keys.NumberLen-1]), keys.UintOf(k)) {
			return
		}
	}
}

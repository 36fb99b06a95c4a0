// Package names is the durable table of messages' names and numbers.
//
// Inside the program messages are numbers, of which the later is the higher; a reply,
// an edit, a tap name one by it. Some messaging apps number messages themselves: their
// number in decimal is the message's name, and stands in no table. Others name them by
// texts without an order, which must not be numbers in decimal: such a name is given a
// number when the message comes in or is out, in the same transaction, and the table
// leads from each to the other.
//
// The next number is above all that the operator's messages were given, odd for what
// came in and even for what went out, and not below the Unix milliseconds of its moment:
// where the table is lost, or an older copy has taken its place, numbers go on above
// those that are forgotten.
package names

import (
	"encoding/binary"
	"encoding/json"
	"slices"
	"strconv"
	"time"

	"skyslate/storage/block"
)

// Table is the table in a transaction. Keys begin with the operator's, which its
// caller makes.
type Table struct {
	Names   *block.Bucket // operator, number: the name
	Numbers *block.Bucket // operator, name: the number
}

// Side says who wrote a message.
type Side int64

// The sides of a chat.
const (
	Ours   Side = 0
	Theirs Side = 1
)

// numbered is the number that a name is by itself.
func numbered(name string) (number int64, ok bool) {
	number, err := strconv.ParseInt(name, 10, 64)
	return number, err == nil && strconv.FormatInt(number, 10) == name
}

// Number is the number of a message; 0 if it has none.
func (t Table) Number(op []byte, name string) (number int64) {
	if number, ok := numbered(name); ok {
		return number
	}
	if text := t.Numbers.Get(nameKey(op, name)); text != nil {
		_ = json.Unmarshal(text, &number) // 0 where it is no number
	}
	return number
}

// Name is the name of a message; that of 0 is empty.
func (t Table) Name(op []byte, number int64) (name string) {
	if number == 0 {
		return ""
	}
	if text := t.Names.Get(numberKey(op, number)); text != nil && json.Unmarshal(text, &name) == nil {
		return name
	}
	return strconv.FormatInt(number, 10)
}

// Give returns the number of a message, which it is given if it has none.
func (t Table) Give(op []byte, name string, by Side, at time.Time) int64 {
	if number := t.Number(op, name); number != 0 || name == "" {
		return number
	}
	number := max(at.UnixMilli(), 1)
	for k := range t.Names.Down(op, append(slices.Clip(op), 0xff)) {
		number = max(number, KeyNumber(k)+1)
		break
	}
	if number&1 != int64(by) {
		number++
	}
	t.Names.Put(numberKey(op, number), asJSON(name))
	t.Numbers.Put(nameKey(op, name), asJSON(number))
	return number
}

// signBit is turned over in keys, so that negative numbers come first.
const signBit = 1 << 63

func numberKey(op []byte, number int64) []byte {
	return binary.BigEndian.AppendUint64(slices.Clip(op), uint64(number)^signBit)
}

func nameKey(op []byte, name string) []byte { return append(append(slices.Clip(op), name...), 0) }

// KeyNumber is the number that a key of Names ends with.
func KeyNumber(key []byte) int64 { return int64(binary.BigEndian.Uint64(key[len(key)-8:]) ^ signBit) }

func asJSON(v any) []byte {
	text, _ := json.Marshal(v) // a text, or a number
	return text
}

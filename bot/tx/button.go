package tx

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"skyslate/bot/lists"
	"skyslate/storage"
)

// Button is a button whose data are a verb and what it is about, parted by colons.
func Button(label, verb string, about ...any) storage.Button {
	var data strings.Builder
	data.WriteString(verb)
	for _, part := range about {
		data.WriteString(":" + fmt.Sprint(part))
	}
	return storage.Button{Label: label, Data: data.String()}
}

// TapForget is the verb of the button that removes an operator, with when it was asked, in
// Unix seconds.
const TapForget = "forget"

// Without leaves out the buttons of some verbs, and the rows that are empty then.
func Without(rows [][]storage.Button, verbs ...string) [][]storage.Button {
	return Filtered(rows, func(b storage.Button) bool { return !slices.Contains(verbs, ReadTap(b.Data).Verb) })
}

// Filtered leaves out the buttons that don't satisfy keep, and the rows that are empty then.
func Filtered(rows [][]storage.Button, keep func(storage.Button) bool) [][]storage.Button {
	var left [][]storage.Button
	for _, row := range rows {
		if row = lists.Filter(row, keep); len(row) > 0 {
			left = append(left, row)
		}
	}
	return left
}

// A Tap is the data of a button, read.
type Tap struct {
	Verb  string
	about []string
}

// ReadTap reads the data that Button made.
func ReadTap(data string) Tap {
	parts := strings.Split(data, ":")
	return Tap{parts[0], parts[1:]}
}

// Part is one of the things that a button is about, empty if there are fewer.
func (t Tap) Part(i int) string {
	if i >= len(t.about) {
		return ""
	}
	return t.about[i]
}

// Pass is a part that names a pass.
func (t Tap) Pass(i int) storage.PassID { return storage.PassID(t.Part(i)) }

// Numbers are the first n parts; ok is false unless all are numbers.
func (t Tap) Numbers(n int) (numbers []int64, ok bool) {
	for i := range n {
		v, err := strconv.ParseInt(t.Part(i), 10, 64)
		if err != nil {
			return nil, false
		}
		numbers = append(numbers, v)
	}
	return numbers, true
}

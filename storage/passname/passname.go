// Package passname names passes for good.
package passname

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// ID names a pass for good: it is given when the pass is first planned and
// stays when fresher elements move AOS. It sorts by time:
// "20261124T174205Z-25544".
type ID string

const stamp = "20060102T150405Z"

// Of names a pass by its AOS and the catalog number of its bird.
func Of(aos time.Time, catalog int) ID {
	return ID(fmt.Sprintf("%s-%d", aos.UTC().Format(stamp), catalog))
}

// Read is what a pass was named by; false of a name that another gave.
func (id ID) Read() (aos time.Time, catalog int, ok bool) {
	moment, number, _ := strings.Cut(string(id), "-")
	aos, err := time.Parse(stamp, moment)
	catalog, bad := strconv.Atoi(number)
	return aos, catalog, err == nil && bad == nil
}

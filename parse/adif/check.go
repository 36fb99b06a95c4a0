package adif

import (
	"fmt"
	"strings"
	"time"
)

// Check tells what is wrong with a field's value by the standard's data types
// (section III.A), for the fields that a satellite contact has; values of other
// fields need only be ASCII. nil: nothing. The error names field and value.
func Check(f Field) error {
	name := strings.ToUpper(f.Name)
	if f.Value != f.text() {
		return fmt.Errorf("%s %q is not plain ASCII", name, f.Value)
	}
	rule, ok := rules[name]
	if !ok || rule.holds(f.Value) {
		return nil
	}
	return fmt.Errorf("%s %q is not %s", name, f.Value, rule.expected)
}

type rule struct {
	expected string
	holds    func(string) bool
}

var (
	dateRule     = rule{"a date as YYYYMMDD", isDate}
	timeRule     = rule{"a time as HHMM or HHMMSS", isTime}
	numberRule   = rule{"a number", isNumber}
	locatorRule  = rule{"one locator of 2, 4, 6 or 8 characters", func(s string) bool { return isLocator(s) }}
	locatorsRule = rule{"two or four locators of 4 or 6 characters", isLocators}
	bandRule     = rule{"a band", isBand}
)

// rules by field, ADIF 3.1.7 section III.C.1.b.
var rules = map[string]rule{
	"QSO_DATE":      dateRule,
	"QSO_DATE_OFF":  dateRule,
	"TIME_ON":       timeRule,
	"TIME_OFF":      timeRule,
	"FREQ":          numberRule,
	"FREQ_RX":       numberRule,
	"BAND":          bandRule,
	"BAND_RX":       bandRule,
	"GRIDSQUARE":    locatorRule,
	"MY_GRIDSQUARE": locatorRule,
	"VUCC_GRIDS":    locatorsRule,
	"MY_VUCC_GRIDS": locatorsRule,
	"QSO_COMPLETE":  {"Y, N, NIL or ?", isComplete},
}

func isDate(s string) bool {
	_, err := time.Parse("20060102", s)
	return err == nil && s >= "1930"
}

func isTime(s string) bool {
	if len(s) == len("1504") {
		s += "00"
	}
	_, err := time.Parse("150405", s)
	return err == nil && len(s) == len("150405")
}

// isNumber: an optional minus, digits, at most one point (section III.A).
func isNumber(s string) bool {
	whole, fraction, _ := strings.Cut(strings.TrimPrefix(s, "-"), ".")
	return whole+fraction != "" && strings.Trim(whole+fraction, "0123456789") == ""
}

// isLocators: section III.C.1.b, VUCC_GRIDS.
func isLocators(s string) bool {
	list := strings.Split(s, ",")
	if len(list) != 2 && len(list) != 4 {
		return false
	}
	for _, l := range list {
		if len(l) != 4 && len(l) != 6 || !isLocator(l) {
			return false
		}
	}
	return true
}

// isLocator: letters A to R, digits, letters A to X, digits, in pairs.
func isLocator(s string) bool {
	if len(s)%2 != 0 || len(s) < 2 || len(s) > 8 {
		return false
	}
	limits := [...]struct{ low, high byte }{{'A', 'R'}, {'0', '9'}, {'A', 'X'}, {'0', '9'}}
	for i := range len(s) {
		c := s[i]
		if isLetter(c) {
			c &^= 0x20
		}
		if l := limits[i/2]; c < l.low || c > l.high {
			return false
		}
	}
	return true
}

func isComplete(s string) bool {
	switch strings.ToUpper(s) {
	case "Y", "N", "NIL", "?":
		return true
	}
	return false
}

package adif

import (
	"fmt"
	"regexp"
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

// square is a locator as VUCC_GRIDS lists them (section III.C.1.b).
const square = `[A-R]{2}\d{2}([A-X]{2})?`

var (
	dateRule   = rule{"a date as YYYYMMDD", isDate}
	timeRule   = rule{"a time as HHMM or HHMMSS", like(`([01]\d|2[0-3])[0-5]\d([0-5]\d)?`)}
	numberRule = rule{"a number", like(`-?(\d+\.?\d*|\.\d+)`)}
	bandRule   = rule{"a band", isBand}

	locatorRule  = rule{"one locator of 2, 4, 6 or 8 characters", like(`[A-R]{2}(\d{2}([A-X]{2}(\d{2})?)?)?`)}
	locatorsRule = rule{
		"two or four locators of 4 or 6 characters",
		like(square + `,` + square + `(,` + square + `,` + square + `)?`),
	}
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
	"QSO_COMPLETE":  {"Y, N, NIL or ?", like(`Y|N|NIL|\?`)},
}

// like holds for what an expression matches as a whole, in any case.
func like(expression string) func(string) bool {
	return regexp.MustCompile(`^(?i:` + expression + `)$`).MatchString
}

func isDate(s string) bool {
	_, err := time.Parse("20060102", s)
	return err == nil && s >= "1930"
}

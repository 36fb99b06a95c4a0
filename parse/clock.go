package parse

import "fmt"

// MakeClock returns the time hour:minute; hour -1 means that only the minute is
// known. It panics if they are out of range.
func MakeClock(hour, minute int) Clock {
	if hour < -1 || hour > 23 || minute < 0 || minute > 59 {
		panic(fmt.Sprintf("parse: no time of day: %d:%d", hour, minute))
	}
	return Clock{hour: int8(hour + 1), minute: int8(minute + 1)}
}

// String returns ":42", "17:42" or "".
func (c Clock) String() string {
	switch {
	case !c.IsSet():
		return ""
	case !c.HasHour():
		return fmt.Sprintf(":%02d", c.Minute())
	default:
		return fmt.Sprintf("%02d:%02d", c.Hour(), c.Minute())
	}
}

// MarshalText implements [encoding.TextMarshaler] with the form of String.
func (c Clock) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler] for the form of String;
// empty text gives the zero value.
func (c *Clock) UnmarshalText(text []byte) error {
	return unmarshal(c, text, func(s string) (Clock, error) {
		if made, ok := clockOf(s); ok && made.String() == s {
			return made, nil
		}
		return Clock{}, fmt.Errorf("%q is no time of day: expected :MM or HH:MM", s)
	})
}

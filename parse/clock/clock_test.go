package clock

import (
	"strings"
	"testing"
)

// unitLen knows the units of one letter.
func unitLen(s string) int {
	if s != "" && strings.ContainsRune("hms", rune(s[0])) {
		return 1
	}
	return 0
}

func TestRead(t *testing.T) {
	for text, want := range map[string]string{
		":42": ":42", "17:42": "17:42", "7:30": "07:30", "17:42:10": "17:42:10", "17:42:60": "17:42:59", ":42:10": ":42:10", "17h42": "17:42", "1742": "17:42",
		"17.42": "", "24:00": "", "17:60": "", "17:42:61": "", "742": "", "": "", "17:": "", "17:4": "",
	} {
		if got, ok := Read(text, false); got.String() != want || ok != (want != "") {
			t.Errorf("%q: %q, %v, want %q", text, got, ok, want)
		}
	}
	if got, ok := Read("17.42", true); !ok || got != Make(17, 42) {
		t.Errorf("17.42 in UTC: %v, %v", got, ok)
	}
}

func TestReadOffset(t *testing.T) {
	for text, want := range map[string]float64{
		"4:10": 250, "4.10": 250, "4.1": -1, "4.75": -1, "1.04.10": -1, "1:04:10": 3850, "95s": 95, "3m10": 190, "1h02m": 3720, "0:00": 0,
		"4:75": -1, "10": -1, "24:00:00": -1, "3s10m": -1, "s": -1,
	} {
		got, ok := ReadOffset(text, unitLen)
		if ok != (want >= 0) || ok && got.Duration().Seconds() != want {
			t.Errorf("%q: %v, %v, want %v", text, got.Duration(), ok, want)
		}
	}
}

func TestText(t *testing.T) {
	for _, want := range []Time{{}, Make(-1, 7), Make(0, 0), Make(23, 59), Make(10, 43).WithSecond(0), Make(-1, 43).WithSecond(20)} {
		text, _ := want.MarshalText()
		var got Time
		if err := got.UnmarshalText(text); err != nil || got != want {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	if err := new(Time).UnmarshalText([]byte("7:30")); err == nil {
		t.Error("7:30 is not the form of String")
	}
}

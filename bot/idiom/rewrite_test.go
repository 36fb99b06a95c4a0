package idiom

import (
	"testing"
	"time"

	"skyslate/parse"
)

func TestWithoutHalves(t *testing.T) {
	for in, want := range map[string]string{
		"di4zab jo53 or 54?":             "di4zab jo53 or jo54",
		"di4zab JO53, oder 54":           "di4zab JO53 oder JO54",
		"di4zab jo53 jo54 one of them":   "di4zab jo53 or jo54",
		"di4zab jo53, jo54 un des deux!": "di4zab jo53 or jo54!",
		"di4zab jo53 or so":              "di4zab jo53 or so",
		"di4zab jo53 jo54":               "di4zab jo53 jo54",
		"worked di4zab jo53?":            "worked di4zab jo53?",
	} {
		if got := WithoutHalves(in); got != want {
			t.Errorf("%q is %q, want %q", in, got, want)
		}
	}
}

func TestWithClocks(t *testing.T) {
	at := time.Date(2027, 5, 23, 10, 44, 30, 0, time.UTC)
	had := func(c parse.Clock) bool { return c.Hour() == 10 && c.Minute() >= 40 }
	for in, want := range map[string]string{
		"di4zab jo53 10.43":           "di4zab jo53 10:43",
		"di4zab jo53 12.43":           "di4zab jo53 12.43",
		"di4zab jo53 10-43":           "di4zab jo53 10:43",
		"di4zab jo53 43 min":          "di4zab jo53 10:43",
		"di4zab 43' jo53":             "di4zab 10:43 jo53",
		"di4zab jo53 minute 41":       "di4zab jo53 10:41",
		"di4zab jo53 50 min":          "di4zab jo53 50 min", // 9:50
		"di4zab jo53 3 min":           "di4zab jo53 3 min",  // 10:03
		"di4zab jo53 145.80":          "di4zab jo53 145.80",
		"di4zab jo53 2 min ago":       "di4zab jo53 10:42",
		"di4zab jo53, a minute ago":   "di4zab jo53, 10:43",
		"di4zab jo53 vor 3 minuten":   "di4zab jo53 10:41",
		"di4zab jo53 hace 3 minutos":  "di4zab jo53 10:41",
		"di4zab jo53 two passes ago":  "di4zab jo53 two passes ago",
		"di4zab jo53 after 3 minutes": "di4zab jo53 after 3 minutes",
	} {
		if got := WithClocks(in, at, had); got != want {
			t.Errorf("%q is %q, want %q", in, got, want)
		}
	}
}

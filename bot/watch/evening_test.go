package watch

import (
	"testing"
	"time"
)

// The transitions are those of the IANA time zone database: Berlin puts its
// clocks from 2:00 to 3:00 on 28 March 2027 and from 3:00 to 2:00 on 31 October
// 2027; Lord Howe moves by half an hour on 3 October 2027.
func TestNextEvening(t *testing.T) {
	for _, tt := range []struct {
		zone, after string
		hour        int
		want        string
	}{
		{"Europe/Berlin", "2027-03-27T12:00:00Z", 20, "2027-03-27T19:00:00Z"},
		{"Europe/Berlin", "2027-03-27T19:00:00Z", 20, "2027-03-28T18:00:00Z"},
		{"Europe/Berlin", "2027-10-30T18:00:00Z", 20, "2027-10-31T19:00:00Z"},
		{"Europe/Berlin", "2027-03-27T12:00:00Z", 2, "2027-03-28T01:00:00Z"}, // no such hour: when it is skipped
		{"Australia/Lord_Howe", "2027-10-02T09:30:00Z", 20, "2027-10-03T09:00:00Z"},
		{"UTC", "2027-02-28T20:00:00Z", 20, "2027-03-01T20:00:00Z"},
	} {
		loc, err := time.LoadLocation(tt.zone)
		if err != nil {
			t.Fatal(err)
		}
		if got := nextEvening(utc(tt.after), tt.hour, loc); !got.Equal(utc(tt.want)) {
			t.Errorf("%s, %d h after %s: %s, want %s", tt.zone, tt.hour, tt.after, got.UTC().Format(time.RFC3339), tt.want)
		}
	}
}

package bot

import (
	"fmt"
	"strings"
	"time"

	"skyslate/storage"
)

// eveningText tells of a day's best passes, in the order in which they come.
func eveningText(date time.Time, rows []passing, place storage.Place, loc *time.Location) string {
	lines := wrap(fmt.Sprintf("%s, the best at %s: AOS UTC, peak, from–to", date.In(loc).Format("Monday"), gridList(place.Grids)), "  ")
	width := nameWidth(rows)
	for _, p := range rows {
		lines = append(lines, passRow(p, width))
	}
	lines = append(lines, otherPlaceLines(rows, place)...)
	return strings.Join(append(lines, "+ you are reminded, x skipped by you"), "\n")
}

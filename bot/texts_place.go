package bot

import (
	"fmt"
	"strings"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

const (
	textVoiceMessage = "the voice message"
	textRecording    = "the recording"
	labelFromVoice   = ", voice message"
	labelFromTyped   = ", as typed"

	// textAddedByYou is the state of a bird that the operator added.
	textAddedByYou = "added by you"
)

var textTooManyBirds = fmt.Sprintf("Your list has as many changes as I\nkeep (%d). /birds shared clears them.", mostOwnBirds)

func moreLoggedText(n int) string { return fmt.Sprintf("… and %d more: /log all", n) }

func stillInLabel(place storage.Place) string { return "Still in " + gridList(place.Grids) }

func listedAlreadyText(b predict.Bird) string {
	return strings.Join(wrap(fmt.Sprintf("%s or number %d is in your list already: /birds %s", b.Name, b.Catalog, b.Name), ""), "\n")
}

// borderText says how far the nearest grid line and corner are, and what the
// accuracy allows to claim; accuracy 0 is not known.
func borderText(latDeg, lonDeg, accuracyM float64) string {
	side, corner := borders(latDeg, lonDeg)
	square := parse.GridAt(latDeg, lonDeg, 4)
	lines := []string{
		fmt.Sprintf("Nearest grid line: %s %s (%s). Corner: %s %s.", metres(side.metres), side.point, side.beyond, metres(corner.metres), corner.point),
	}
	switch {
	case accuracyM == 0:
	case side.metres > accuracyM:
		lines = append(lines, fmt.Sprintf("Sure to %s: you are in %s alone.", metres(accuracyM), square))
	case accuracyM <= lineMetres:
		lines = append(lines, fmt.Sprintf("Sure to %s: you may stand on the line. To claim both: /at %s %s", metres(accuracyM), square, side.beyond))
	default:
		lines = append(lines, fmt.Sprintf("Sure to %s only: which side you are on is not certain. Wait for a better fix, or say it: /at %s", metres(accuracyM), square))
	}
	return strings.Join(wrapAll(lines), "\n")
}

// metres writes a distance for people.
func metres(m float64) string {
	if m < 950 {
		return fmt.Sprintf("%.0f m", m)
	}
	return fmt.Sprintf("%.1f km", m/1000)
}

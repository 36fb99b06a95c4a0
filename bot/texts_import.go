package bot

import (
	"fmt"
	"strings"
)

const (
	textCallBeforeLog = "I take the log when I know whose it is.\nThen send it again."
	textOtherLog      = "That log is in the XML form (ADX). I\nread ADI files: export it as .adi."

	labelOutOfLog = "Take them out again"
)

func intoLogLabel(n int) string { return fmt.Sprintf("Put %s into the log", count(n, "contact")) }

// importText says how far an import is; last is what was done in the slice before.
func importText(im importing, last stage) string {
	switch {
	case im.Paused:
		im.Paused = false
		return strings.Join(wrap(importText(im, last)+". That is enough for one day (200000 records): I go on at 00:00 UTC.", ""), "\n")
	case im.Stage == stageRead:
		return "Reading " + im.Name + ": " + percent(im.Read.At.Offset, im.Size)
	case im.Stage == stageAdd:
		return "Into the log: " + percent(int64(im.Next-im.First), int64(im.Last-im.First+1))
	case im.Stage == stageBack:
		return "Out of the log: " + percent(int64(im.Next-im.First), int64(im.Last-im.First+1))
	case last == stageAdd:
		return addedText(im)
	case last == stageBack:
		return strings.Join(wrap(fmt.Sprintf("Out of the log again: %s of %s. They are still remembered.", count(im.Moved, "contact"), im.Name), ""), "\n")
	}
	return readText(im)
}

func percent(done, of int64) string { return fmt.Sprintf("%d %%", 100*done/max(of, 1)) }

func addedText(im importing) string {
	lines := []string{fmt.Sprintf("In the log now: %s of %s, counted as handed over.", count(im.Moved, "contact"), im.Name)}
	if im.Again > 0 {
		lines = append(lines, fmt.Sprintf("Left out: %d that the log has.", im.Again))
	}
	return strings.Join(wrapAll(lines), "\n")
}

// mostFaults is how many faults of a file a message shows.
const mostFaults = 2

// readText says what was in a file.
func readText(im importing) string {
	if im.Read.Records+im.Read.Broken == 0 {
		return strings.Join(wrap("No record in "+im.Name+".", ""), "\n")
	}
	lines := []string{fmt.Sprintf("%s: %s, %d new to me", im.Name, count(im.Read.Records, "record"), im.Read.Fresh)}
	if im.Read.Broken > 0 {
		lines = append(lines, fmt.Sprintf("Broken and passed over: %d", im.Read.Broken))
		for _, f := range im.Read.Faults[:min(len(im.Read.Faults), mostFaults)] {
			lines = append(lines, "line "+clip(f, 3*textColumns-20))
		}
		if more := im.Read.Broken - mostFaults; more > 0 {
			lines = append(lines, fmt.Sprintf("and %d more", more))
		}
	}
	if im.Read.Strange > 0 {
		lines = append(lines, fmt.Sprintf("Without own call, taken as yours: %d", im.Read.Strange))
	}
	if im.Read.Fresh > 0 {
		lines = append(lines, "Remembered: who was worked, and their grids. Your log stays as it is.")
	}
	return strings.Join(wrapAll(lines), "\n")
}

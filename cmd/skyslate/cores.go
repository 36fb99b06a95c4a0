package main

import (
	"os"
	"runtime"
	"runtime/debug"
)

// shareCores keeps long pieces of work from holding up what comes in. As many of
// them may be under way as there are cores: planning, a picture, the collector. Go
// takes a core from a goroutine after 10 ms only; the system, with more threads
// than cores to divide, gives one that wakes up its turn at once. The collector comes
// half as often, too: an idle bot has some ten megabytes. Whoever sets GOMAXPROCS or
// GOGC has the say.
func shareCores() {
	const (
		threadsForCore = 2
		collectAt      = 200 // percent more than what is in use
	)
	if os.Getenv("GOMAXPROCS") == "" {
		runtime.GOMAXPROCS(threadsForCore * runtime.GOMAXPROCS(0))
	}
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
}

// Package supply keeps the birds' elements fresh: it reads them from files and
// fetches them from HTTP addresses, and goes on with the last good ones while
// there are none to be had.
//
// A provider is asked a few times a day, at moments that differ from one
// installation to the next, and only for what has changed (If-None-Match,
// If-Modified-Since: RFC 9110, section 13). A refusal is respected for as long
// as the provider says (Retry-After: RFC 9110, section 10.2.3). What comes is
// bounded in size and time, and it replaces the copy on disk only if it holds at
// least one good set; the copy is what a start without a network goes on with.
//
// The beat only asks what is due, so that a machine that was asleep, or whose
// clock was set, catches up within one.
package supply

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"skyslate/bot/beat"
	"skyslate/predict"
)

// DefaultAddress is where elements come from if nothing else is said: the open
// general-perturbations data for the amateur group, as OMM in JSON. The address
// is written from memory. Its keepers ask not to be asked more than every two
// hours; we ask about every eight, and only for what has changed.
const DefaultAddress = "https://celestrak.org/NORAD/elements/gp.php?GROUP=amateur&FORMAT=json"

// Config says where elements come from and where they go.
type Config struct {
	Sources []string // files, and addresses that begin with http:// or https://
	Dir     string   // keeps the last good copy of what was fetched
	Log     *slog.Logger
	// Use is given the sets of a source whenever they have changed.
	Use func(sets []predict.Elements, at time.Time)
	// Through carries the requests; nil: the network.
	Through http.RoundTripper
	Agent   string // names the program to providers
}

// Supply keeps elements fresh. Make one with New, call Load once, then Run.
type Supply struct {
	config  Config
	client  *http.Client
	sources []*source
}

// source is one file or address, with what is known of it.
type source struct {
	name  string
	shown string // the name for people: an address without what may be secret in it
	path  string // of the file, or of the copy
	web   bool

	sets     []predict.Elements
	size     int64     // of the file as last read
	modified time.Time // and its moment
	next     time.Time // not asked before; zero: due
	failed   int       // in a row
}

const (
	lookEvery = time.Minute      // how often it is asked what is due
	fresh     = 8 * time.Hour    // a fetch that went well is repeated after this
	young     = 2 * time.Hour    // a copy of this age is not fetched again at a start
	retry     = 10 * time.Minute // a fetch that failed; doubles up to
	retryMax  = 4 * time.Hour
	// Whatever a provider says, it is asked again after this.
	patience = 24 * time.Hour
)

// New returns a supply of the given sources. It reads nothing yet.
func New(c Config) (*Supply, error) {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Through == nil {
		c.Through = newGuard(nil)
	}
	s := &Supply{config: c, client: &http.Client{Transport: c.Through, Timeout: fetchFor, CheckRedirect: checkRedirect}}
	for _, name := range c.Sources {
		src := &source{name: name, shown: name, path: name}
		if low := strings.ToLower(name); strings.HasPrefix(low, "http://") || strings.HasPrefix(low, "https://") {
			src.web, src.shown = true, withoutSecrets(name)
			src.path = filepath.Join(c.Dir, fmt.Sprintf("%x", sha256.Sum256([]byte(name)))[:16]+".txt")
			if u, err := url.Parse(name); err != nil || u.Host == "" {
				return nil, fmt.Errorf("%q is no address that elements can be fetched from", src.shown)
			}
		}
		s.sources = append(s.sources, src)
	}
	return s, nil
}

// Load reads the files and the copies of earlier fetches. A file that is not
// there or holds no good set is an error, an address without a copy is not: Run
// fetches it first of all.
func (s *Supply) Load(now time.Time) ([]predict.Elements, error) {
	var all []predict.Elements
	for _, src := range s.sources {
		sets, err := s.read(src)
		switch {
		case err == nil:
			src.sets = sets
			all = append(all, sets...)
			src.next = now
			// A machine without a clock of its own may think that it is long ago.
			if age := now.Sub(src.modified); src.web && age >= 0 && age < young {
				src.next = now.Add(fresh - age)
			}
		case !src.web:
			return nil, err
		case !errors.Is(err, os.ErrNotExist):
			s.config.Log.Warn("the copy of fetched elements is not usable", "source", src.shown, "err", err)
		}
	}
	return all, nil
}

// read reads a source's file and tells of the sets in it that are not usable.
func (s *Supply) read(src *source) ([]predict.Elements, error) {
	f, err := os.Open(src.path)
	if err != nil {
		return nil, fmt.Errorf("elements: %w", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, fmt.Errorf("elements: %w", err)
	}
	// Before it is judged: a broken file is told of once, not at every look.
	src.size, src.modified = info.Size(), info.ModTime()
	sets, problems, err := predict.ReadElements(f, src.shown)
	if err != nil {
		return nil, fmt.Errorf("elements: %w", err)
	}
	for _, p := range problems {
		s.config.Log.Warn("an element set is left out", "why", p.Error())
	}
	if len(sets) == 0 {
		return nil, fmt.Errorf("%s: no usable element set in it", src.shown)
	}
	return sets, nil
}

// Run keeps the elements fresh until ctx ends.
func (s *Supply) Run(ctx context.Context) {
	s.round(ctx)
	beat.Every(ctx, lookEvery, "elements", s.config.Log, func() { s.round(ctx) })
}

// round asks every source that is due.
func (s *Supply) round(ctx context.Context) {
	for _, src := range s.sources {
		if ctx.Err() != nil {
			return
		}
		// Due when the time awake is over, or the time of the wall clock, which goes
		// on while a machine sleeps.
		if now := time.Now(); !now.Before(src.next) || !now.Round(0).Before(src.next.Round(0)) {
			s.ask(ctx, src, now)
		}
	}
}

// ask reads a file that has changed, or fetches an address.
func (s *Supply) ask(ctx context.Context, src *source, now time.Time) {
	if !src.web {
		info, err := os.Stat(src.path)
		if err == nil && (info.Size() != src.size || !info.ModTime().Equal(src.modified)) {
			s.use(src, now)
		}
		return
	}
	got, err := s.fetch(ctx, src)
	if ctx.Err() != nil {
		return
	}
	wait := src.wait(got, err, rand.Float64())
	src.next = time.Now().Add(wait)
	switch {
	case err != nil:
		s.config.Log.Warn("elements could not be fetched; the last good ones are used",
			"source", src.shown, "again", wait.Round(time.Minute), "err", err)
	case got.unchanged:
		s.config.Log.Debug("elements have not changed", "source", src.shown)
	default:
		s.use(src, now)
	}
}

// use hands a source's sets on if they are others than before.
func (s *Supply) use(src *source, now time.Time) {
	sets, err := s.read(src)
	if err != nil {
		s.config.Log.Warn("elements are not usable; the last good ones are used", "source", src.shown, "err", err)
		return
	}
	if slices.Equal(sets, src.sets) {
		return
	}
	src.sets = sets
	s.config.Log.Info("fresh elements", "source", src.shown, "sets", len(sets))
	s.config.Use(sets, now.UTC())
}

// wait is how long a source is left alone after an answer. jitter, in [0, 1),
// spreads installations and repeats.
func (src *source) wait(got got, err error, jitter float64) time.Duration {
	if err == nil {
		src.failed = 0
		return fresh - time.Hour + time.Duration(jitter*float64(2*time.Hour))
	}
	pause := min(retry<<min(src.failed, 10), retryMax)
	src.failed++
	pause += time.Duration((jitter - 0.5) / 2 * float64(pause))
	return max(pause, min(got.after, patience))
}

//go:build unix

package main

import (
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"skyslate/bot"
	"skyslate/bot/rehearsal"
	"skyslate/bot/sky"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// Who there is under load: operators on 1,000 squares, where it is about midday,
// a tenth of them with a log of some years, a tenth with calls of their own whose logs
// are compared.
const (
	loadRows, loadColumns = 25, 40
	veteranEach           = 10
	comparingEach         = 10
	veteranPasses         = 100
	contactsOfPass        = 5
	loadBirds             = "../../bot/rehearsal/birds.csv"
)

// loadSky is the invented birds on orbits made for the load: WICKET-1 stands over
// all squares for hours, so that what is typed belongs to its pass, and rose too
// early in the day for a reminder; HAYLOFT-2 rises there when reminders are to fall
// due; TROWEL-3 comes as it comes.
type loadSky struct {
	squares

	sets  []predict.Elements
	fresh atomic.Int64
}

// squares are those that operators under load are in.
type squares struct {
	lonDeg float64 // of their middle
}

const loadLatDeg = 47.5

// place is where the nth operator is: neighbours don't come one after the other.
func (s squares) place(n int) storage.Place {
	return s.square(n * 389 % (loadRows * loadColumns))
}

// square is the nth square, row by row from the south-west.
func (s squares) square(n int) storage.Place {
	lon := s.lonDeg + float64(n%loadColumns-loadColumns/2)*2
	if lon < -180 {
		lon += 360
	} else if lon >= 180 {
		lon -= 360
	}
	grid := parse.GridAt(loadLatDeg+float64(n/loadColumns-loadRows/2), lon, 4)
	latDeg, lonDeg := grid.Center()
	// Zones of that kind count westwards.
	zone := fmt.Sprintf("Etc/GMT%+d", -int(math.Round(s.lonDeg/15)))
	if math.Round(s.lonDeg/15) == 0 {
		zone = "UTC"
	}
	return storage.Place{Grids: []parse.Grid{grid}, LatDeg: latDeg, LonDeg: lonDeg, Zone: zone}
}

func newLoadSky(t *testing.T, now, rise time.Time) *loadSky {
	t.Helper()
	scene, err := rehearsal.Open("")
	if err != nil {
		t.Fatal(err)
	}
	s := &loadSky{sets: scene.Elements, squares: squares{upNoon(now)}}
	for i := range s.sets {
		s.sets[i].Epoch = now.Add(-time.Hour).Truncate(time.Second)
	}
	high, low := &s.sets[0], &s.sets[1]
	high.MeanMotion, high.Eccentricity, high.BStar = 2.1, 0.7, 0
	high.InclinationDeg, high.ArgPerigeeDeg = 63.4, 270 // it lingers in the north
	const middle, last = loadRows/2*loadColumns + loadColumns/2, loadRows*loadColumns - 1
	s.aim(t, high, 10, func(table *predict.Ephemeris) bool {
		for _, n := range []int{0, loadColumns - 1, middle, last - loadColumns + 1, last} {
			site := sky.Site(s.square(n))
			if len(up(table, site, now.Add(-270*time.Minute), now.Add(3*time.Hour))) == 0 {
				return false
			}
		}
		return true
	}, now.Add(-24*time.Hour), now.Add(24*time.Hour))
	s.aim(t, low, 3, func(table *predict.Ephemeris) bool {
		for _, p := range table.Passes(sky.Site(s.square(middle)), rise.Add(-20*time.Minute), rise.Add(20*time.Minute), 0) {
			if p.AOS.Sub(rise).Abs() < 30*time.Second && p.AtTCA.ElDeg > 60 {
				return true
			}
		}
		return false
	}, rise.Add(-time.Hour), rise.Add(time.Hour))
	return s
}

// upNoon is the longitude at which it is noon.
func upNoon(now time.Time) float64 {
	return math.Max(-178, 180-float64(now.UTC().Hour()*60+now.UTC().Minute())/4)
}

// up are the passes that last from one moment to another at least.
func up(table *predict.Ephemeris, site predict.Site, from, to time.Time) (all []predict.Pass) {
	for _, p := range table.Passes(site, from, to, 0) {
		if p.AOS.Before(from) && p.LOS.After(to) {
			all = append(all, p)
		}
	}
	return all
}

// aim turns an orbit, in steps of so many degrees, until the bird flies as wanted.
func (s *loadSky) aim(
	t *testing.T, e *predict.Elements, stepDeg float64, wanted func(*predict.Ephemeris) bool, from, to time.Time,
) {
	t.Helper()
	for e.RAANDeg = 0; e.RAANDeg < 360; e.RAANDeg += stepDeg {
		for e.MeanAnomalyDeg = 0; e.MeanAnomalyDeg < 360; e.MeanAnomalyDeg += stepDeg {
			table, err := predict.NewEphemeris(*e, from, to)
			if err != nil {
				t.Fatal(err)
			}
			if wanted(table) {
				return
			}
		}
	}
	t.Fatalf("no orbit found for %s", e.Name)
}

// serve hands the elements out; each time fresh is raised they are others by a
// second.
func (s *loadSky) serve() *httptest.Server {
	return httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		var objects []string
		for _, e := range s.sets {
			e.Epoch = e.Epoch.Add(time.Duration(s.fresh.Load()) * time.Second)
			objects = append(objects, ommObject(e))
		}
		fmt.Fprintf(w, "[%s]", strings.Join(objects, ","))
	}))
}

// loadOperator names the nth operator.
func loadOperator(n int) storage.OperatorID { return storage.OperatorID(fmt.Sprint(1000 + n)) }

// names are those of the birds.
func (s *loadSky) names() (all []string) {
	for _, e := range s.sets {
		all = append(all, e.Name)
	}
	return all
}

// seedLoad makes a store with so many operators, who follow some birds, or those
// that everybody follows.
func seedLoad(t *testing.T, data string, s squares, birds []string, many int) {
	t.Helper()
	now := time.Now().UTC()
	store, err := storage.Open(data)
	if err != nil {
		t.Fatal(err)
	}
	desk := bot.New(bot.Config{Store: store, Sky: sky.New(predict.StarterBirds(), nil)})
	for n := range many {
		op := storage.Operator{
			ID: loadOperator(n), Joined: now, Cautioned: now, Call: parse.MustParseCallsign("HX7KZQ"),
			Place: s.place(n), Remind: storage.DefaultRemind(),
		}
		op.Place.Set = now
		if n%comparingEach == 1 { // calls like those that are worked, and none of them
			op.Call = parse.MustParseCallsign(fmt.Sprintf("OX9%c%c%c", 'A'+n/676%26, 'A'+n/26%26, 'A'+n%26))
			op.Agreeing = storage.Agreeing{Call: op.Call, Since: now}
		}
		op.Remind.Birds = birds
		if err := desk.SetUp(op, now); err != nil {
			t.Fatal(err)
		}
		if n%veteranEach == 0 {
			if err := store.Commit("seed/"+string(op.ID), now, veteran(op, now)); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
}

// veteran is the log of somebody who has worked invented stations for years, each
// contact with the message that told it.
func veteran(op storage.Operator, now time.Time) (c storage.Changes) {
	bird := storage.BirdRef{Name: "WICKET-1", LogName: "WICKET-1", Catalog: 99301}
	for n := range veteranPasses {
		aos := now.Add(-time.Duration(veteranPasses-n) * 75 * time.Hour).Truncate(time.Second)
		p := storage.Pass{
			ID: storage.PassID(aos.Format("20060102T150405Z") + "-99301"), Operator: op.ID, Bird: bird,
			AOS: aos, TCA: aos.Add(5 * time.Minute), LOS: aos.Add(10 * time.Minute), PeakElDeg: 40, Place: op.Place,
			Arm: storage.ArmAuto, Decided: aos.Add(-10 * time.Minute), Closed: aos.Add(10 * time.Minute),
		}
		c.Passes = append(c.Passes, p)
		for k := range contactsOfPass {
			number := n*contactsOfPass + k
			call := parse.MustParseCallsign(fmt.Sprintf("9B3%c%c%c", 'A'+number/100, 'A'+number/10%10, 'A'+number%10))
			at := aos.Add(time.Duration(k+1) * time.Minute)
			grid := op.Place.Grids[0]
			// What was said before this chat has numbers of its own.
			id := int64(number - veteranPasses*contactsOfPass)
			text := call.String() + " " + grid.String()
			c.Messages = append(c.Messages, storage.Message{
				Operator: op.ID, ID: id, At: at, Text: text, Pass: p.ID,
				Lines: []storage.MessageLine{{Text: text, Contacts: []uint64{uint64(number + 1)}}},
			})
			c.Contacts = append(c.Contacts, storage.Contact{
				Operator: op.ID, ID: uint64(number + 1), Version: 1, Made: at,
				Cause: storage.Cause{Kind: "typed", Event: fmt.Sprint("tg/", number), Message: id},
				State: storage.Certain, Call: call, Grids: []parse.Grid{grid}, Text: text, Time: at, TimeSource: storage.FromMessage,
				Pass: p.ID, Bird: bird, UplinkMHz: 145.965, DownlinkMHz: 436.235, Mode: "FM",
				OwnCall: op.Call, OwnGrids: op.Place.Grids, Message: id, Line: 1,
			})
		}
	}
	c.Operator = &op
	return c
}

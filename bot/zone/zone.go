// Package zone finds the time zone of a place, for showing local time beside
// UTC. Boundaries and zone rules are embedded, so it works with nothing but the
// program on the machine.
//
// The boundaries are the simplified ones of github.com/ringsaturn/tzf: within
// some hundred metres of a border the zone may be the neighbour's. That is fit
// for display, and nothing is ever logged in local time.
package zone

import (
	"fmt"
	"math"
	"runtime/debug"
	"strings"
	"sync"
	"time"
	_ "time/tzdata" // the rules, for machines that have none

	"github.com/ringsaturn/tzf"
	tzfrellite "github.com/ringsaturn/tzf-rel-lite"
	pb "github.com/ringsaturn/tzf/gen/go/tzf/v1"
	"google.golang.org/protobuf/proto"
)

// The embedded boundaries come twice: as an index of areas that lie wholly in
// one zone, and as polygons. The index answers for nine places of ten and loads
// in a twentieth of a second; the polygons take ten times as long and for a
// moment 150 MB, which a small machine should pay only beside a border. Both are
// loaded when first asked for and then only read. nil: they can't be used.
var (
	index    = sync.OnceValue(func() tzf.F { return load(loadIndex) })
	polygons = sync.OnceValue(func() tzf.F { return load(loadPolygons) })
)

func load(from func() (tzf.F, error)) (f tzf.F) {
	// The library can panic on data that it does not expect.
	defer func() {
		if recover() != nil {
			f = nil
		}
	}()
	f, err := from()
	if err != nil {
		return nil
	}
	return f
}

func loadIndex() (tzf.F, error) {
	var data pb.PreindexTimezones
	if err := proto.Unmarshal(tzfrellite.PreindexData, &data); err != nil {
		return nil, err
	}
	return tzf.NewFuzzyFinderFromPB(&data)
}

func loadPolygons() (tzf.F, error) {
	// Most of what decoding takes is garbage afterwards: give it back.
	defer debug.FreeOSMemory()
	var data pb.CompressedTimezones
	if err := proto.Unmarshal(tzfrellite.LiteCompressData, &data); err != nil {
		return nil, err
	}
	return tzf.NewFinderFromCompressed(&data, tzf.SetDropPBTZ)
}

// find returns the name of the zone that holds a place, or "". Simplified
// boundaries leave slivers between zones: there a place close by answers.
func find(latDeg, lonDeg float64) string {
	const near = 0.02 // degrees, wider than the slivers
	for _, d := range [][2]float64{{0, 0}, {near, 0}, {-near, 0}, {0, near}, {0, -near}} {
		for _, load := range []func() tzf.F{index, polygons} {
			if f := load(); f != nil {
				if name := f.GetTimezoneName(lonDeg+d[1], latDeg+d[0]); name != "" {
					return name
				}
			}
		}
	}
	return ""
}

// At returns the IANA name and the rules of the zone at a place given in degrees
// north and east. At sea, and where the boundaries give no answer, it is the
// nautical zone, whose name has the sign turned round: "Etc/GMT-1" is one hour
// ahead of UTC. What is no place at all gives "UTC". It is safe for concurrent
// use; the first calls load the boundaries.
func At(latDeg, lonDeg float64) (name string, loc *time.Location) {
	if math.IsNaN(lonDeg) || math.IsInf(lonDeg, 0) || !(math.Abs(latDeg) <= 90) {
		return "UTC", time.UTC
	}
	lonDeg = math.Mod(math.Mod(lonDeg+180, 360)+360, 360) - 180
	for _, name := range []string{find(latDeg, lonDeg), nautical(lonDeg)} {
		if loc, err := time.LoadLocation(name); name != "" && err == nil {
			return name, loc
		}
	}
	return "UTC", time.UTC
}

// nautical names the zone of 15 degrees around a multiple of 15 (international
// practice at sea, as in the "Etc" area of the IANA database).
func nautical(lonDeg float64) string {
	hours := int(math.Round(lonDeg / 15))
	if hours == 0 {
		return atSea + "GMT"
	}
	return fmt.Sprintf(atSea+"GMT%+d", -hours)
}

// OnLand is At for the first of some places, degrees north and east, that lies in a zone
// of land; where all are at sea, for the first of them.
func OnLand(places ...[2]float64) (name string, loc *time.Location) {
	for _, p := range places {
		if name, loc = At(p[0], p[1]); !strings.HasPrefix(name, atSea) {
			return name, loc
		}
	}
	if len(places) == 0 {
		return "UTC", time.UTC
	}
	return At(places[0][0], places[0][1])
}

// atSea begins the names of nautical zones.
const atSea = "Etc/"

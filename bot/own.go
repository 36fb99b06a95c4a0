package bot

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"skyslate/predict"
	"skyslate/storage"
)

// ownThings is what an operator has for themselves alone: elements that they
// sent, and changes of the list of birds. It is kept as JSON; fields are only
// ever added.
type ownThings struct {
	Sets  []predict.Elements `json:"sets,omitempty"`
	Birds []ownBird          `json:"birds,omitempty"`
}

// ownBird is a change of one bird: columns of the list that read otherwise, so
// that what the operator did not touch follows the shared list.
type ownBird struct {
	Catalog int               `json:"catalog"`
	New     bool              `json:"new,omitempty"`  // not in the shared list; Set holds it all
	Gone    bool              `json:"gone,omitempty"` // left out of the list
	Set     map[string]string `json:"set,omitempty"`  // by column of the list of birds
}

const (
	ownSkyName = "sky"
	// mostOwnSets bounds what an operator's own elements take: more than one
	// person works, and few enough to be read at every event.
	mostOwnSets = 100
	// mostOwnBirds bounds the changes in the same way.
	mostOwnBirds = 50
	// keptOwnSkies bounds the operators whose own tables are held in memory.
	keptOwnSkies = 200
)

// ownSkies are the skies of operators who have things of their own, made anew
// whenever what is kept of them has changed.
type ownSkies struct {
	mu   sync.Mutex
	made map[storage.OperatorID]ownSky
}

type ownSky struct {
	from []byte // what it was made of
	sky  *Sky
}

// skyOf is the sky as an operator has it: the shared one, with their own things
// over it.
func (d *Desk) skyOf(v *storage.View, op storage.OperatorID) (*Sky, bool, error) {
	kept, err := v.Kept(storage.OwnKey(op, ownSkyName))
	if err != nil {
		return nil, false, err
	}
	d.own.mu.Lock()
	defer d.own.mu.Unlock()
	known, ok := d.own.made[op]
	switch {
	case kept == nil:
		delete(d.own.made, op)
		return d.shared, true, nil
	case ok && bytes.Equal(known.from, kept) && known.sky.under == d.shared:
		return known.sky, true, nil
	}
	var own ownThings
	if err := json.Unmarshal(kept, &own); err != nil {
		d.log.Error("an operator's own elements and birds are not usable", "operator", op, "err", err)
		return d.shared, true, nil
	}
	if d.own.made == nil || len(d.own.made) >= keptOwnSkies {
		d.own.made = map[storage.OperatorID]ownSky{}
	}
	sky := d.shared.with(own)
	d.own.made[op] = ownSky{kept, sky}
	return sky, true, nil
}

// with lays an operator's things over the shared sky.
func (s *Sky) with(own ownThings) *Sky { return s.over(changed(s.birds, own.Birds), own.Sets) }

// ownThings reads what the operator has for themselves.
func (p *plan) ownThings() ownThings {
	var own ownThings
	kept, ok := got(p, func() ([]byte, bool, error) {
		kept, err := p.view.Kept(storage.OwnKey(p.op.ID, ownSkyName))
		return kept, kept != nil, err
	})
	if ok {
		if err := json.Unmarshal(kept, &own); err != nil {
			return ownThings{} // told in the log by skyOf
		}
	}
	return own
}

// keepOwn keeps an operator's things, and plans with them from here on.
func (p *plan) keepOwn(own ownThings) {
	own.Birds = slices.DeleteFunc(own.Birds, func(b ownBird) bool { return !b.Gone && len(b.Set) == 0 })
	var body []byte
	if len(own.Sets)+len(own.Birds) > 0 {
		var err error
		if body, err = json.Marshal(own); err != nil {
			p.err = err
			return
		}
	}
	if p.keep == nil {
		p.keep = map[string][]byte{}
	}
	p.keep[storage.OwnKey(p.op.ID, ownSkyName)] = body
	p.sky = p.desk.shared.with(own)
}

// takeElements uses element sets for this operator from now on: those of birds
// of their list, and of others as far as there is room. It returns how many were
// left out.
func (p *plan) takeElements(sets []predict.Elements) (leftOut int) {
	own := p.ownThings()
	all := predict.Newest(slices.Concat(own.Sets, sets))
	slices.SortStableFunc(all, func(a, b predict.Elements) int { return p.listedLast(a) - p.listedLast(b) })
	own.Sets = all[:min(len(all), mostOwnSets)]
	p.keepOwn(own)
	return len(all) - len(own.Sets)
}

// listedLast orders the elements of birds of the list before others.
func (p *plan) listedLast(e predict.Elements) int {
	if _, ok := p.sky.ByCatalog(e.Catalog); ok {
		return 0
	}
	return 1
}

// changed is the list of birds with an operator's changes. A change that no
// longer fits the shared list is passed over.
func changed(birds []predict.Bird, changes []ownBird) []predict.Bird {
	birds = slices.Clone(birds)
	for _, c := range changes {
		i := slices.IndexFunc(birds, func(b predict.Bird) bool { return b.Catalog == c.Catalog })
		switch {
		case c.Gone && i >= 0:
			birds = slices.Delete(birds, i, i+1)
		case c.New && i < 0:
			if b, err := newBird(c.Set); err == nil {
				birds = append(birds, b)
			}
		case !c.Gone && i >= 0:
			if b, err := changedBird(birds[i], c.Set); err == nil {
				birds[i] = b
			}
		}
	}
	return birds
}

// newBird reads a bird of one transponder from the columns of the list.
func newBird(columns map[string]string) (predict.Bird, error) {
	return readBird([]map[string]string{columns})
}

// changedBird reads a bird again with other values in some columns. Those of a
// transponder are the main one's.
func changedBird(b predict.Bird, set map[string]string) (predict.Bird, error) {
	rows := birdRows(b)
	main := max(slices.IndexFunc(b.Transponders, func(t predict.Transponder) bool { return t.Kind != predict.Beacon }), 0)
	for column, value := range set {
		row := 0
		if ofTransponder(column) {
			row = main
		}
		rows[row][column] = value
	}
	return readBird(rows)
}

func ofTransponder(column string) bool {
	return slices.Contains([]string{"mode", "uplink_mhz", "downlink_mhz", "way", "tone_hz", "arm_tone_hz"}, column)
}

// readBird reads a bird from rows of the list.
func readBird(rows []map[string]string) (predict.Bird, error) {
	seen := map[string]bool{}
	for _, row := range rows {
		for column := range row {
			seen[column] = true
		}
	}
	columns := slices.Sorted(maps.Keys(seen))
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Write(columns) // a strings.Builder never fails
	for _, row := range rows {
		fields := make([]string, len(columns))
		for i, column := range columns {
			fields[i] = row[column]
		}
		w.Write(fields)
	}
	w.Flush()
	birds, err := predict.ReadBirds(strings.NewReader(b.String()), "list")
	if err != nil {
		return predict.Bird{}, err
	}
	if len(birds) != 1 {
		return predict.Bird{}, fmt.Errorf("%d birds in %d rows", len(birds), len(rows))
	}
	return birds[0], nil
}

// birdRows writes a bird as rows of the list.
func birdRows(b predict.Bird) []map[string]string {
	var rows []map[string]string
	for _, t := range b.Transponders {
		rows = append(rows, map[string]string{
			"bird": b.Name, "catalog": strconv.Itoa(b.Catalog), "kind": t.Kind.String(), "mode": t.Mode,
			"uplink_mhz": band(t.UplinkMHz, t.UplinkWidthKHz), "downlink_mhz": band(t.DownlinkMHz, t.DownlinkWidthKHz),
			"way": way(t.Inverting), "tone_hz": number(t.ToneHz), "arm_tone_hz": number(t.ArmToneHz), "source": t.Source,
		})
	}
	if len(rows) == 0 {
		return rows
	}
	first := rows[0]
	first["log_name"], first["alias"] = b.LogName, strings.Join(b.Aliases, ";")
	first["status"], first["status_source"], first["notes"] = b.Status.Text, b.Status.Source, b.Notes
	first["source"] = cmp.Or(b.Source, first["source"])
	first["on"] = "no"
	if b.Status.On {
		first["on"] = "yes"
	}
	if !b.Status.Date.IsZero() {
		first["status_date"] = b.Status.Date.Format("2006-01-02")
	}
	return rows
}

// band writes a channel, or the edges of a passband.
func band(mhz, widthKHz float64) string {
	if widthKHz == 0 {
		return number(mhz)
	}
	return number(mhz-widthKHz/2000) + "-" + number(mhz+widthKHz/2000)
}

// number writes a number to the sixth decimal (1 Hz, where it is of MHz), empty
// for none.
func number(v float64) string {
	if v == 0 {
		return ""
	}
	text := strconv.FormatFloat(v, 'f', 6, 64)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

func way(inverting bool) string {
	if inverting {
		return "inverting"
	}
	return ""
}

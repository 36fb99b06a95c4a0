package sky

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"skyslate/predict"
	"skyslate/storage"
)

// Altered are the birds that an operator changed, and those that they removed,
// by name.
func (s *Sky) Altered(changes []Change) (names, gone []string) {
	for _, c := range changes {
		switch b, ok := s.ByCatalog(c.Catalog); {
		case c.Gone && s.under != nil:
			b, _ = s.under.ByCatalog(c.Catalog)
			gone = append(gone, b.Name)
		case ok:
			names = append(names, b.Name)
		}
	}
	return names, gone
}

// Own is what an operator has for themselves alone: elements that they
// sent, and changes of the list of birds. It is kept as JSON; fields are only
// ever added.
type Own struct {
	Sets  []predict.Elements `json:"sets,omitempty"`
	Birds []Change           `json:"birds,omitempty"`
}

// Change is a change of one bird: columns of the list that read otherwise, so
// that what the operator did not touch follows the shared list.
type Change struct {
	Catalog int               `json:"catalog"`
	New     bool              `json:"new,omitempty"`  // not in the shared list; Set holds it all
	Gone    bool              `json:"gone,omitempty"` // left out of the list
	Set     map[string]string `json:"set,omitempty"`  // by column of the list of birds
}

const (
	ownName = "sky"
	// MostSets bounds what an operator's own elements take: more than one
	// person works, and few enough to be read at every event.
	MostSets = 100
	// MostBirds bounds the changes in the same way.
	MostBirds = 50
	// keptOwn bounds the operators whose own tables are held in memory.
	keptOwn = 200
)

// Skies are those of all operators: the shared one, and over it what each has of
// their own, made anew whenever what is kept of that has changed. Safe for
// concurrent use.
type Skies struct {
	Shared *Sky

	log  *slog.Logger
	mu   sync.Mutex
	made map[storage.OperatorID]ownSky
}

// NewSkies returns the skies over a shared one.
func NewSkies(shared *Sky, log *slog.Logger) *Skies { return &Skies{Shared: shared, log: log} }

type ownSky struct {
	from []byte // what it was made of
	sky  *Sky
}

// Of is the sky as an operator has it.
func (o *Skies) Of(v *storage.View, op storage.OperatorID) (*Sky, error) {
	kept, err := v.Kept(storage.OwnKey(op, ownName))
	if err != nil {
		return nil, err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	known, ok := o.made[op]
	switch {
	case kept == nil:
		delete(o.made, op)
		return o.Shared, nil
	case ok && bytes.Equal(known.from, kept) && known.sky.under == o.Shared:
		return known.sky, nil
	}
	var own Own
	if err := json.Unmarshal(kept, &own); err != nil {
		o.log.Error("an operator's own elements and birds are not usable", "operator", op, "err", err)
		return o.Shared, nil
	}
	if o.made == nil || len(o.made) >= keptOwn {
		o.made = map[storage.OperatorID]ownSky{}
	}
	made := o.Shared.With(own)
	o.made[op] = ownSky{kept, made}
	return made, nil
}

// Forget drops what is held in memory of an operator's sky.
func (o *Skies) Forget(op storage.OperatorID) {
	o.mu.Lock()
	defer o.mu.Unlock()
	delete(o.made, op)
}

// With lays an operator's things over the shared sky: their list of birds, and
// their elements where they are fresher. Tables of elements that s has are s's.
func (s *Sky) With(own Own) *Sky {
	over := New(changedBirds(s.listed, own.Birds), own.Sets)
	over.under = s
	return over
}

// ReadOwn reads what an operator has for themselves; what can't be read is told in
// the log by Of.
func ReadOwn(v *storage.View, op storage.OperatorID) (Own, error) {
	kept, err := v.Kept(storage.OwnKey(op, ownName))
	var own Own
	if err != nil || kept == nil || json.Unmarshal(kept, &own) != nil {
		return Own{}, err
	}
	return own, nil
}

// Keep is where an operator's things are kept, and as what: nil for nothing.
func (own Own) Keep(op storage.OperatorID) (key string, body []byte, err error) {
	key = storage.OwnKey(op, ownName)
	own.Birds = slices.DeleteFunc(own.Birds, func(b Change) bool { return !b.Gone && len(b.Set) == 0 })
	if len(own.Sets)+len(own.Birds) > 0 {
		body, err = json.Marshal(own)
	}
	return key, body, err
}

// changedBirds is the list of birds with an operator's changes. A change that no
// longer fits the shared list is passed over.
func changedBirds(birds []predict.Bird, changes []Change) []predict.Bird {
	birds = slices.Clone(birds)
	for _, c := range changes {
		i := indexOf(birds, c.Catalog)
		switch {
		case c.Gone && i >= 0:
			birds = slices.Delete(birds, i, i+1)
		case c.New && i < 0:
			if b, err := NewBird(c.Set); err == nil {
				birds = append(birds, b)
			}
		case !c.Gone && i >= 0:
			if b, err := Changed(birds[i], c.Set); err == nil {
				birds[i] = b
			}
		}
	}
	return birds
}

// Changed reads a bird again with other values in some columns. Those of a
// transponder are the main one's.
func Changed(b predict.Bird, set map[string]string) (predict.Bird, error) {
	rows := birdRows(b)
	main := max(slices.IndexFunc(b.Transponders, func(t predict.Transponder) bool { return t.Kind != predict.Beacon }), 0)
	for column, value := range set {
		if slices.Contains(ofTransponder, column) {
			rows[main][column] = value
		} else {
			rows[0][column] = value
		}
	}
	return NewBird(rows...)
}

var ofTransponder = strings.Fields("mode uplink_mhz downlink_mhz way tone_hz arm_tone_hz")

// NewBird reads a bird from rows of the list, by column: one a transponder.
func NewBird(rows ...map[string]string) (predict.Bird, error) {
	seen := map[string]bool{}
	for _, row := range rows {
		for column := range row {
			seen[column] = true
		}
	}
	columns := slices.Sorted(maps.Keys(seen))
	lines := [][]string{columns}
	for _, row := range rows {
		fields := make([]string, len(columns))
		for i, column := range columns {
			fields[i] = row[column]
		}
		lines = append(lines, fields)
	}
	var b strings.Builder
	if err := csv.NewWriter(&b).WriteAll(lines); err != nil {
		return predict.Bird{}, err
	}
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
		row := map[string]string{
			"bird": b.Name, "catalog": strconv.Itoa(b.Catalog), "kind": t.Kind.String(), "mode": t.Mode,
			"uplink_mhz": band(t.UplinkMHz, t.UplinkWidthKHz), "downlink_mhz": band(t.DownlinkMHz, t.DownlinkWidthKHz),
			"way": "", "tone_hz": number(t.ToneHz), "arm_tone_hz": number(t.ArmToneHz), "source": t.Source,
		}
		if t.Inverting {
			row["way"] = "inverting"
		}
		rows = append(rows, row)
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

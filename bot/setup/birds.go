package setup

import (
	"errors"
	"maps"
	"regexp"
	"slices"
	"strings"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/predict"
)

// The words of /birds behind a bird's name. Each is one change for the operator
// who makes it; the shared list stays.
const (
	birdPair   = "pair"   // both frequencies, or both passbands
	birdTone   = "tone"   // access tone
	birdSwitch = "switch" // tone that switches it on first
	birdOn     = "on"
	birdOff    = "off"
	birdLog    = "log" // its name in the log
	birdNote   = "note"
	birdShared = "shared" // back to what everybody has
	birdRemove = "remove"
	birdAdd    = "add" // /birds add NAME NUMBER UP/DOWN [tone HZ] [inverting]
)

// Birds are the operator's own view of the birds.
type Birds struct{ watch.Planner }

// ShowBirds shows the list or one bird, or changes them for the operator.
func (p Birds) ShowBirds(rest string) {
	words := strings.Fields(rest)
	switch {
	case len(words) == 0:
		p.Say(p.birdList(p.OwnThings().Birds), p.AddButtons()...)
	case words[0] == birdAdd:
		p.add(words[1:])
	case len(words) == 1 && words[0] == birdShared:
		p.allShared()
	default:
		p.oneBird(words)
	}
}

// oneBird handles a bird's name and what stands behind it.
func (p Birds) oneBird(words []string) {
	catalog, name, rest := p.birdNamed(words)
	if catalog == 0 {
		p.Say(say.UnknownBird(strings.Join(words, " "), p.Sky.ProperNames()))
		return
	}
	if len(rest) == 0 {
		p.sayBird(catalog, "")
		return
	}
	set, err := changeOf(rest[0], strings.Join(rest[1:], " "), p.Event.At.UTC().Format("2006-01-02"))
	switch {
	case err != nil:
		p.Say(err.Error())
	case rest[0] == birdRemove:
		p.removeBird(catalog, name)
	case rest[0] == birdShared:
		p.shareBird(catalog, name)
	default:
		p.birdChange(catalog, p.changeBird(catalog, set))
	}
}

// birdNamed finds the bird that the first words name, in the operator's list or
// in the shared one, where a bird may be that they removed.
func (p Birds) birdNamed(words []string) (catalog int, name string, rest []string) {
	for n := min(len(words), 5); n > 0; n-- {
		text := strings.Join(words[:n], " ")
		for _, s := range []*sky.Sky{p.Sky, p.Skies.Shared} {
			b, ok := s.Bird(text)
			back := s == p.Sky || n < len(words) && words[n] == birdShared
			if ok && back {
				return b.Catalog, b.Name, words[n:]
			}
		}
	}
	return 0, "", nil
}

// birdName is what a bird may be called: what can be typed in the field, stands in
// a row and in a log, and is no markup, path or command.
var birdName = regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N} .+()-]{1,19}$`)

// longestBirdNote is how long a note of a bird, or its state in words, may be.
const longestBirdNote = 300

// changeOf reads a change: which columns of the list get which values.
func changeOf(verb, value, today string) (map[string]string, error) {
	switch {
	case len([]rune(value)) > longestBirdNote:
		return nil, tx.Sayable(say.LongBirdNote(longestBirdNote))
	case verb == birdLog && value != "" && !birdName.MatchString(value):
		return nil, tx.Sayable(say.BadBirdName)
	}
	hz := strings.TrimSpace(strings.TrimSuffix(strings.ToLower(value), "hz"))
	if hz == "none" {
		hz = ""
	}
	switch {
	case verb == birdShared || verb == birdRemove:
		return nil, nil
	case verb == birdOn || verb == birdOff:
		return map[string]string{
			"on": map[string]string{birdOn: "yes", birdOff: "no"}[verb], "status": say.SaidState(verb, value),
			"status_date": today, "status_source": "you",
		}, nil
	case value == "":
		return nil, tx.Sayable(say.BirdHow)
	case verb == birdPair:
		return pairOf(value)
	case verb == birdTone:
		return map[string]string{"tone_hz": hz}, nil
	case verb == birdSwitch:
		return map[string]string{"arm_tone_hz": hz}, nil
	case verb == birdLog:
		return map[string]string{"log_name": value}, nil
	case verb == birdNote:
		return map[string]string{"notes": value}, nil
	}
	return nil, tx.Sayable(say.BirdHow)
}

// pairOf reads the frequencies of a bird in the list.
func pairOf(value string) (map[string]string, error) {
	way, err := readPair(value)
	if err == nil && way.either {
		err = tx.Sayable(say.WhichUplink(way.set[uplink], way.set[downlink]))
	}
	return way.set, err
}

// changeBird keeps a change of a bird, on top of those before.
func (p Birds) changeBird(catalog int, set map[string]string) error {
	own := p.OwnThings()
	i := slices.IndexFunc(own.Birds, func(b sky.Change) bool { return b.Catalog == catalog })
	if i < 0 {
		if len(own.Birds) >= sky.MostBirds {
			return errTooManyBirds
		}
		own.Birds = append(own.Birds, sky.Change{Catalog: catalog})
		i = len(own.Birds) - 1
	}
	change := &own.Birds[i]
	merged := map[string]string{}
	maps.Copy(merged, change.Set)
	maps.Copy(merged, set)
	var err error
	if base, ok := p.Skies.Shared.ByCatalog(catalog); ok {
		_, err = sky.Changed(base, merged)
	} else {
		_, err = sky.NewBird(merged)
	}
	if err != nil {
		return err
	}
	change.Set, change.Gone = merged, false
	p.KeepOwn(own)
	return nil
}

// birdChange answers a change: what the bird is now, or what was wrong.
func (p Birds) birdChange(catalog int, err error) {
	var wrong *predict.InputError
	var known tx.Sayable
	switch {
	case errors.As(err, &wrong):
		p.Say(say.BadBird(wrong))
	case errors.As(err, &known):
		p.Say(known.Error())
	case err != nil:
		p.Err = err
	default:
		p.Replan()
		p.sayBird(catalog, say.YoursAlone)
	}
}

func (p Birds) sayBird(catalog int, head string) {
	bird, _ := p.Sky.ByCatalog(catalog)
	text := say.OneBird(p.birdView(bird), shown.Raster(p.Op.Radio), p.Now())
	if head != "" {
		text = head + "\n" + text
	}
	p.Say(text)
}

func (p Birds) removeBird(catalog int, name string) {
	own := p.OwnThings()
	own.Birds = slices.DeleteFunc(own.Birds, func(b sky.Change) bool { return b.Catalog == catalog })
	_, shared := p.Skies.Shared.ByCatalog(catalog)
	if shared {
		own.Birds = append(own.Birds, sky.Change{Catalog: catalog, Gone: true})
	}
	p.KeepOwn(own)
	p.Replan()
	p.Say(say.RemovedBird(name, shared))
}

// shareBird gives up all that is the operator's own of a bird.
func (p Birds) shareBird(catalog int, name string) {
	own := p.OwnThings()
	own.Birds = slices.DeleteFunc(own.Birds, func(b sky.Change) bool { return b.Catalog == catalog })
	own.Sets = slices.DeleteFunc(own.Sets, func(e predict.Elements) bool { return e.Catalog == catalog })
	p.KeepOwn(own)
	p.Replan()
	if _, ok := p.Sky.ByCatalog(catalog); !ok {
		p.Say(say.RemovedBird(name, false))
		return
	}
	p.sayBird(catalog, say.SharedAgain)
}

func (p Birds) allShared() {
	p.KeepOwn(sky.Own{})
	p.Replan()
	p.Say(say.SharedAgain + "\n" + p.birdList(nil))
}

// birdList lists the birds, with what is the operator's own in the list.
func (p Birds) birdList(changes []sky.Change) string {
	var notes say.BirdNotes
	notes.Changed, notes.Removed = p.Sky.Altered(changes)
	for _, e := range p.Sky.Orphans() {
		notes.Orphans = append(notes.Orphans, say.OrphanName(e))
	}
	var birds []say.Bird
	for _, b := range p.Sky.Birds() {
		birds = append(birds, p.birdView(b))
	}
	return say.Birds(birds, notes, shown.Raster(p.Op.Radio), p.Now())
}

var errTooManyBirds = tx.Sayable(say.TooManyBirds(sky.MostBirds))

func (p Birds) birdView(b predict.Bird) say.Bird {
	view := say.Bird{Bird: b, Also: sky.OtherNames(b)}
	if e, ok := p.Sky.Elements(b.Catalog); ok {
		view.Elements = &e
		view.NeverUp = len(p.Op.Place.Grids) > 0 && !e.EverRises(sky.Site(p.Op.Place))
	}
	return view
}

package bot

import (
	"bytes"
	"regexp"
	"strings"

	"skyslate/predict"
	"skyslate/storage"
)

// handed takes a document: element sets are used at once, for the operator who
// sent them.
func (p *plan) handed() {
	f := p.ev.File
	p.message = &storage.Message{Operator: p.op.ID, ID: p.ev.Message, At: p.ev.At, Text: p.ev.Text}
	switch {
	case p.ev.Lost == LostGone:
		p.say(textFileGone)
		return
	case f == nil || len(f.Body) > MaxDocument:
		p.say(textTooLarge)
		return
	}
	switch {
	case looksLikeLog(*f):
		p.takeLog(*f)
	case looksLikeOtherLog(*f):
		p.say(textOtherLog)
	default:
		p.readElements(f.Body, f.Name)
	}
}

// pasted reports whether a text is elements as lines, and takes them.
func (p *plan) pasted(text string) bool {
	if !looksLikeElements(text) {
		return false
	}
	p.readElements([]byte(text), "message")
	return true
}

// elementLines finds the two lines of a set: far longer than a contact, and
// begun by their number and the catalog number. Blanks may be lost.
var elementLines = regexp.MustCompile(`(?m)^\s*1 [ 0-9A-Z]{1,5}[UCS ].{40,}\n\s*2 +[0-9A-Z]{1,5} .{40,}$`)

// looksLikeElements reports whether a text can only be meant as elements: the
// long lines of a two-line set, or the key words of a mean-elements message.
func looksLikeElements(text string) bool {
	text = strings.ReplaceAll(text, "\r", "")
	upper := strings.ToUpper(text)
	return elementLines.MatchString(text) ||
		strings.Contains(upper, "MEAN_MOTION") && strings.Contains(upper, "ECCENTRICITY")
}

// readElements reads element sets, uses them for this operator alone, and says
// what came of each.
func (p *plan) readElements(body []byte, name string) {
	sets, problems, err := predict.ReadElements(bytes.NewReader(body), name)
	if err != nil || len(sets) == 0 {
		p.say(noElementsText(name, problems))
		return
	}
	// A date far ahead is a slip, and such a set would stay the newest for good.
	limit := p.now().Add(predict.MaxAge)
	sets = predict.Newest(only(sets, func(e predict.Elements) bool { return e.Epoch.Before(limit) }))
	if len(sets) == 0 {
		p.say(textFutureElements)
		return
	}
	before := p.sky
	leftOut := p.takeElements(sets)
	if p.ready() {
		p.replan()
	}
	took := taken{sets: sets, problems: problems, leftOut: leftOut}
	for _, e := range sets {
		bird, listed := p.sky.ByCatalog(e.Catalog)
		known, had := before.Elements(e.Catalog)
		_, err := p.sky.Ephemeris(e.Catalog, p.now(), p.now())
		switch {
		case !listed:
			took.orphans = append(took.orphans, e)
		case had && known.Epoch.After(e.Epoch):
			took.older = append(took.older, bird.Name)
		case err != nil:
			took.refused = append(took.refused, err)
		default:
			took.used = append(took.used, bird.Name)
			if len(p.op.Place.Grids) > 0 && !e.EverRises(siteOf(p.op.Place)) {
				took.never = append(took.never, bird.Name)
			}
		}
	}
	p.say(takenText(took))
}

// taken is what came of elements sent: names of birds, but for orphans.
type taken struct {
	sets               []predict.Elements
	problems           []*predict.InputError
	used, older, never []string
	orphans            []predict.Elements // of no bird of the list
	refused            []error
	leftOut            int // for want of room
}

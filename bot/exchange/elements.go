package exchange

import (
	"errors"
	"io"
	"regexp"
	"slices"
	"strings"

	"skyslate/bot/event"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/say/limits"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/predict"
	"skyslate/storage"
)

// takeElements uses element sets for this operator from now on: those of birds
// of their list, and of others as far as there is room. It returns how many were
// left out.
func (p Exchange) takeElements(sets []predict.Elements) (leftOut int) {
	own := p.OwnThings()
	all := predict.Newest(slices.Concat(own.Sets, sets))
	rank := func(e predict.Elements) int {
		if _, listed := p.Sky.ByCatalog(e.Catalog); listed {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(all, func(a, b predict.Elements) int { return rank(a) - rank(b) })
	own.Sets = all[:min(len(all), sky.MostSets)]
	p.KeepOwn(own)
	return len(all) - len(own.Sets)
}

// mostElements is the largest document of elements, in bytes, which is read at one
// go; two lines of each bird in orbit that is alive are half of it.
const mostElements = 4 << 20

// Handed takes a document: element sets are used at once, for the operator who
// sent them.
func (p Exchange) Handed() {
	f := p.Event.File
	p.Message = &storage.Message{Operator: p.Op.ID, ID: p.Event.Message, At: p.Event.At, Text: p.Event.Text}
	switch {
	case p.Event.Lost == event.LostGone:
		p.Say(limits.FileGone)
	case f == nil || max(int64(len(f.Body)), f.Size) > event.MaxDocument:
		p.Say(say.TooLarge)
	default:
		p.withDocument(p.Event.ID, *f, p.take)
	}
}

// take takes a document for the kind that it looks like.
func (p Exchange) take(f event.Document, body *io.SectionReader) {
	head := make([]byte, min(headOf, body.Size()))
	if _, err := body.ReadAt(head, 0); err != nil && !errors.Is(err, io.EOF) {
		p.Err = err
		return
	}
	switch {
	case looksLikeLog(f.Name, head):
		p.takeLog(f, body)
	case looksLikeOtherLog(f.Name, head):
		p.Say(say.OtherLog)
	case body.Size() > mostElements:
		p.Say(say.LargeElements)
	default:
		p.readElements(body, f.Name)
	}
}

// Pasted reports whether a text is elements as lines, and takes them.
func (p Exchange) Pasted(text string) bool {
	if !looksLikeElements(text) {
		return false
	}
	p.readElements(strings.NewReader(text), "message")
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
func (p Exchange) readElements(body io.Reader, name string) {
	sets, problems, err := predict.ReadElements(body, name)
	if err != nil || len(sets) == 0 {
		p.Say(say.NoElements(name, problems))
		return
	}
	// A date far ahead is a slip, and such a set would stay the newest for good.
	limit := p.Now().Add(predict.MaxAge)
	sets = predict.Newest(lists.Filter(sets, func(e predict.Elements) bool { return e.Epoch.Before(limit) }))
	if len(sets) == 0 {
		p.Say(say.FutureElements)
		return
	}
	before := p.Sky
	leftOut := p.takeElements(sets)
	if p.Ready() {
		p.Replan()
	}
	took := say.Taken{Sets: len(sets), Faults: problems, LeftOut: leftOut, Most: sky.MostSets}
	var refused []error
	for _, e := range sets {
		bird, listed := p.Sky.ByCatalog(e.Catalog)
		known, had := before.Elements(e.Catalog)
		_, err := p.Sky.Ephemeris(e.Catalog, p.Now(), p.Now())
		switch {
		case !listed:
			took.Orphans = append(took.Orphans, say.OrphanName(e))
		case had && known.Epoch.After(e.Epoch):
			took.Older = append(took.Older, bird.Name)
		case err != nil:
			refused = append(refused, err)
		default:
			took.Used = append(took.Used, bird.Name)
			if len(p.Op.Place.Grids) > 0 && !e.EverRises(sky.Site(p.Op.Place)) {
				took.Never = append(took.Never, bird.Name)
			}
		}
	}
	took.Refused = shown.Refused(refused)
	p.Say(say.ElementsTaken(took), p.AddButtons()...)
}

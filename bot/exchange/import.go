package exchange

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/layout"
	"skyslate/bot/say"
	"skyslate/bot/say/limits"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/parse/adif"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// A log that an operator sends is read in slices, each of them a moment of the
// agenda and a transaction of its own, so that other chats are served between
// two of them however long it takes.
const (
	ImportSlice = 500                    // records, or contacts, at a time
	ImportPause = 250 * time.Millisecond // between slices
	importChunk = 256 << 10              // bytes of the document that are kept together
	progressAt  = 10                     // slices between two notes of progress
)

// MostImported is how many records are read, and contacts moved, a day.
const MostImported = 200_000

// MomentImport is the next slice of an import; its "pass" is the message that
// brought the document.
const MomentImport = "import"

// The buttons of an import: what to do with the contacts of a message's document.
const (
	TapIntoLog  = "intolog"
	TapOutOfLog = "outoflog"
)

// stage is what is being done with a document.
type stage string

const (
	stageAsk  stage = "ask"  // it is another call's: waiting for an answer
	stageRead stage = "read" // into the memory of what was worked
	stageAdd  stage = "add"  // from there into the log
	stageBack stage = "back" // out of the log again
	stageRest stage = ""     // nothing
)

// importing is a document on its way: kept under the operator's own key.
type importing struct {
	Message int64  `json:"message"`
	Name    string `json:"name"`
	Size    int64  `json:"size"`
	// Event is the one under whose ID the store keeps the document; empty: it is
	// kept in pieces here.
	Event  string           `json:"event,omitempty"`
	Stage  stage            `json:"stage"`
	Of     string           `json:"of,omitempty"` // whose log it is, if it is another call's
	Slices int              `json:"slices"`
	Read   logbook.Progress `json:"read"`
	// First and Last are the contacts that came of it; others may lie between.
	First uint64 `json:"first"`
	Last  uint64 `json:"last"`
	Next  uint64 `json:"next"`  // the next of them to be moved
	Moved int    `json:"moved"` // into the log, or out of it
	Again int    `json:"again"` // stayed out: the log has them
	// Paused: the rest waits for the next day.
	Paused bool `json:"paused,omitempty"`
}

func (im importing) key(op storage.OperatorID) string {
	return storage.OwnKey(op, fmt.Sprintf("import/%d", im.Message))
}

func (im importing) chunkKey(op storage.OperatorID, n int64) string {
	return fmt.Sprintf("%s/%06d", im.key(op), n)
}

// adifMark finds what only a log has, in any case.
var adifMark = regexp.MustCompile(`(?i)<(eoh|eor|call:\d+(:\w)?|adif_ver:\d+(:\w)?)>`)

// looksLikeLog reports whether a document is a log in the ADI form.
func looksLikeLog(name string, head []byte) bool {
	ext := strings.ToLower(path.Ext(name))
	return ext == ".adi" || ext == ".adif" || adifMark.Match(head)
}

// takeLog keeps a log that was sent, and begins to read it.
func (p Exchange) takeLog(f event.Document, body *io.SectionReader) {
	if !p.Op.Call.IsValid() {
		p.Say(say.CallBeforeLog)
		p.Ask()
		return
	}
	im := importing{Message: p.Event.Message, Name: layout.Short(f.Name, 24), Size: body.Size(), Stage: stageRead}
	if f.Size > 0 {
		im.Event = p.Event.ID
		p.Keep(storage.DocumentKey(im.Event), []byte(p.Op.ID))
	} else {
		for n := int64(0); n*importChunk < im.Size; n++ {
			p.Keep(im.chunkKey(p.Op.ID, n), f.Body[n*importChunk:min((n+1)*importChunk, im.Size)])
		}
	}
	if im.Of = p.otherCall(body); im.Of != "" {
		im.Stage = stageAsk
	}
	p.continueImport(im)
	p.showImport(im)
}

// otherCall is the own call of a log, if it isn't the operator's: of the first
// record that tells it.
func (p Exchange) otherCall(body io.Reader) string {
	const most = 50 // records without one before it is given up
	r := adif.NewReader(body)
	for range most {
		rec, err := r.Read()
		var broken *adif.ParseError
		if errors.As(err, &broken) {
			continue
		}
		if err != nil {
			return ""
		}
		for _, field := range []string{"STATION_CALLSIGN", "OPERATOR"} {
			value, _ := rec.Get(field)
			if call, err := parse.ParseCallsign(value); err == nil {
				if call.Base() == p.Op.Call.Base() || slices.ContainsFunc(p.Op.Own, func(o storage.OwnSide) bool { return o.Call.Base() == call.Base() }) {
					return ""
				}
				return call.String()
			}
		}
	}
	return ""
}

// continueImport keeps how far an import is and, if there is more to do, when it
// goes on.
func (p Exchange) continueImport(im importing) {
	body, err := json.Marshal(im)
	if err != nil {
		p.Err = err
		return
	}
	p.Keep(im.key(p.Op.ID), body)
	if im.Stage != stageRest && im.Stage != stageAsk {
		p.At(MomentImport, p.Now().Add(ImportPause), storage.PassID(strconv.FormatInt(im.Message, 10)))
	}
}

// importOf returns the import of a message's document.
func (p Exchange) importOf(message string) (importing, bool) {
	id, err := strconv.ParseInt(message, 10, 64)
	if err != nil {
		return importing{}, false
	}
	im := importing{Message: id}
	body, ok := tx.Got(p.Tx, func() ([]byte, bool, error) {
		body, err := p.View.Kept(im.key(p.Op.ID))
		return body, body != nil, err
	})
	if !ok {
		return im, false
	}
	if err := json.Unmarshal(body, &im); err != nil {
		p.Err = fmt.Errorf("kept import: %w", err)
	}
	return im, p.Err == nil
}

// ImportMoment does the next slice of an import.
func (p Exchange) ImportMoment(message string) {
	im, ok := p.importOf(message)
	if !ok {
		return
	}
	tx.FlowOn(&p.Op.Flow, p.Now())
	if p.Op.Flow.Imported >= MostImported && im.Stage != stageRest {
		im.Paused = true // the rest waits for the next day
		p.continueImport(im)
		p.Agenda[len(p.Agenda)-1].At = p.Now().Truncate(tx.Day).Add(tx.Day)
		p.showImport(im)
		return
	}
	im.Paused = false
	switch im.Stage {
	case stageRead:
		p.readSlice(&im)
	case stageAdd, stageBack:
		p.moveSlice(&im)
	}
	im.Slices++
	p.Op.Flow.Imported += ImportSlice
	p.Moves = nil // an import is taken back by its own button
	p.continueImport(im)
	if im.Stage == stageRest || im.Slices%progressAt == 0 {
		p.showImport(im)
	}
}

// readSlice reads records into the memory of what was worked. A document that is
// gone ends the import.
func (p Exchange) readSlice(im *importing) {
	if im.Event == "" {
		p.readFrom(im, &chunkReader{p: p, im: *im, at: im.Read.At.Offset})
		return
	}
	gone := true
	p.withDocument(im.Event, event.Document{Size: im.Size}, func(_ event.Document, body *io.SectionReader) {
		gone = false
		p.readFrom(im, io.NewSectionReader(body, im.Read.At.Offset, im.Size-im.Read.At.Offset))
	})
	if gone {
		p.endRead(im)
	}
}

// endRead ends the reading of a document, which is needed no more.
func (p Exchange) endRead(im *importing) {
	im.Stage = stageRest
	p.dropDocument(*im)
}

// errPiece is a piece of a document that the store has lost.
var errPiece = errors.New("a piece of the document is missing")

func (p Exchange) readFrom(im *importing, document io.Reader) {
	into := logbook.Importer{Operator: p.Op}
	fresh, err := into.Take(p.View, adif.NewReaderAt(document, im.Read.At), ImportSlice, &im.Read)
	if errors.Is(err, errPiece) {
		p.Say(limits.FileGone)
		p.endRead(im)
	} else if err != nil {
		p.Err = cmp.Or(p.Err, err)
		return
	}
	for _, c := range fresh {
		c.Cause, c.Message = storage.Cause{Kind: tx.CauseImport, Message: im.Message}, im.Message
		im.Last = p.Add(c).ID
		if im.First == 0 {
			im.First = im.Last
		}
	}
	if im.Read.Done {
		p.endRead(im)
	}
}

// dropDocument forgets a document.
func (p Exchange) dropDocument(im importing) {
	if im.Event != "" {
		p.Keep(storage.DocumentKey(im.Event), nil)
		return
	}
	for n := int64(0); n*importChunk < im.Size; n++ {
		p.Keep(im.chunkKey(p.Op.ID, n), nil)
	}
}

// moveSlice moves contacts of an import into the log, or out of it. What has
// been worked on since stays as it is.
func (p Exchange) moveSlice(im *importing) {
	end := min(im.Next+ImportSlice, im.Last+1)
	known := map[parse.Callsign][]storage.Contact{}
	var moved []storage.Contact
	for ; im.Next < end && p.Err == nil; im.Next++ {
		c, ok := p.Contact(im.Next)
		if !ok || c.Message != im.Message || c.Cause.Kind != tx.CauseImport {
			continue
		}
		switch into := im.Stage == stageAdd; {
		case into && c.State == storage.Remembered && p.logged(c, known):
			im.Again++
		case into && c.State == storage.Remembered:
			c.State = storage.Certain
			if len(c.Grids) == 0 {
				c.State = storage.Incomplete
			}
			moved = append(moved, p.Add(c))
		case !into && c.Exported():
			c.State = storage.Remembered
			moved = append(moved, p.Add(c))
		}
	}
	im.Moved += len(moved)
	if im.Stage == stageAdd {
		p.Elsewhere = append(p.Elsewhere, refs(moved)...)
	} else {
		p.Withdrawn = append(p.Withdrawn, refs(moved)...)
	}
	if im.Next > im.Last {
		im.Stage = stageRest
	}
}

// logged reports whether the log has a contact that is the same as this one;
// known are those with each station, as far as they were read.
func (p Exchange) logged(c storage.Contact, known map[parse.Callsign][]storage.Contact) bool {
	with, read := known[c.Call]
	if !read {
		with = tx.List(p.Tx, func() ([]storage.Contact, error) { return p.View.ContactsOfCall(p.Op.ID, c.Call) })
		known[c.Call] = with
	}
	for _, old := range with {
		if now, ok := p.Contact(old.ID); ok {
			old = now
		}
		if old.ID != c.ID && old.State != storage.Remembered && logbook.Same(old, c) {
			return true
		}
	}
	return false
}

// TapImport puts the contacts of a document into the log, or takes them out.
func (p Exchange) TapImport(tap tx.Tap) {
	im, ok := p.importOf(tap.Part(0))
	into := tap.Verb == TapIntoLog
	switch {
	case ok && im.Stage == stageAsk && !into: // a log of another call is left
		im.Stage = stageRest
		p.dropDocument(im)
		p.continueImport(im)
		p.EditTapped(say.LeftAsItIs)
		return
	case ok && im.Stage == stageAsk:
		im.Stage = stageRead
	case !ok || im.Stage != stageRest || im.First == 0:
		p.Say(say.OldButton)
		return
	case into:
		im.Stage, im.Next, im.Moved, im.Again = stageAdd, im.First, 0, 0
	default:
		im.Stage, im.Next, im.Moved, im.Again = stageBack, im.First, 0, 0
	}
	p.continueImport(im)
	p.showImport(im)
}

// showImport shows how far an import is, always in the same post.
func (p Exchange) showImport(im importing) {
	message := strconv.FormatInt(im.Message, 10)
	var buttons [][]storage.Button
	last, _ := p.importOf(message) // what was done before this slice
	switch {
	case im.Stage == stageAsk:
		buttons = [][]storage.Button{
			{tx.Button(say.LabelReadOther, TapIntoLog, message)},
			{tx.Button(say.LabelLeave, TapOutOfLog, message)},
		}
	case im.Stage != stageRest || im.Read.Fresh == 0:
	case last.Stage == stageAdd && im.Moved > 0:
		buttons = [][]storage.Button{{tx.Button(say.LabelOutOfLog, TapOutOfLog, message)}}
	default:
		buttons = [][]storage.Button{{tx.Button(say.IntoLogLabel(im.Read.Fresh), TapIntoLog, message)}}
	}
	p.Put(storage.Post{
		Name: p.Name("import", message), ReplyTo: im.Message, Text: im.progress(last.Stage), Buttons: buttons,
	})
}

// progress says how far an import is; last is what was done in the slice before.
func (im importing) progress(last stage) string {
	done, all := int64(im.Next-im.First), int64(im.Last-im.First+1)
	switch {
	case im.Paused:
		im.Paused = false
		return say.GoesOn(im.progress(last))
	case im.Stage == stageAsk:
		return say.ForeignLog(im.Name, im.Of)
	case im.Stage == stageRead:
		return say.Reading(im.Name, im.Read.At.Offset, im.Size)
	case im.Stage == stageAdd:
		return say.IntoLog(done, all)
	case im.Stage == stageBack:
		return say.OutOfLog(done, all)
	case last == stageAdd:
		return say.Added(im.Name, im.Moved, im.Again)
	case last == stageBack:
		return say.TakenOut(im.Name, im.Moved)
	}
	r := im.Read
	return say.LogInFile(im.Name, say.LogRead{Records: r.Records, Fresh: r.Fresh, Strange: r.Strange, Broken: r.Broken, Faults: r.Faults})
}

// chunkReader gives a document back from the pieces it is kept in.
type chunkReader struct {
	p    Exchange
	im   importing
	at   int64
	rest []byte
}

// Read implements io.Reader.
func (r *chunkReader) Read(b []byte) (int, error) {
	if len(r.rest) == 0 {
		if r.at >= r.im.Size {
			return 0, io.EOF
		}
		n := r.at / importChunk
		chunk, err := r.p.View.Kept(r.im.chunkKey(r.p.Op.ID, n))
		if err != nil {
			return 0, err
		}
		if int64(len(chunk)) <= r.at-n*importChunk {
			return 0, errPiece
		}
		r.rest = chunk[r.at-n*importChunk:]
	}
	n := copy(b, r.rest)
	r.rest, r.at = r.rest[n:], r.at+int64(n)
	return n, nil
}

// looksLikeOtherLog reports whether a document is a log in the XML form.
func looksLikeOtherLog(name string, head []byte) bool {
	head = bytes.ToUpper(head[:min(len(head), 4096)])
	return strings.EqualFold(path.Ext(name), ".adx") || bytes.Contains(head, []byte("<ADX>"))
}

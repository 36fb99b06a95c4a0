package filing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/idiom"
	"skyslate/bot/lineage"
	"skyslate/bot/lists"
	"skyslate/bot/oneself"
	"skyslate/bot/question"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
	"skyslate/storage/phones"
)

// A Message is what was sent, as it stands after its edits.
type Message struct {
	Said     *storage.Evidence
	lineage  lineage.Lineage
	Lines    []*Line
	Delivery *Delivery
	Means    storage.ContactKey // the contact that it was said to mean, where that was asked

	Outcome Outcome // what became of it beside its lines
}

// A Line is one line of a message. Look is its first reading, with nothing known
// but names: enough to say which pass it belongs to.
type Line struct {
	Message *Message
	Number  int
	Row     int // from 1, as the message stands
	Text    string
	Theirs  bool // somebody else wrote it: it is quoted, or was forwarded
	Behind  bool // it stands right below what is quoted, and may belong to that
	Look    parse.Line
	Under   parse.Header // what the lines above it say
	Slate   idiom.Slate
	Names   *idiom.Naming      // it may be about a contact by its call
	Named   bool               // and it is
	About   []int              // the numbers of the contacts that it is about
	Place   idiom.Place        // what these count
	Where   string             // the words for their pass
	Asks    *question.Question // it asks something of the bot, and nothing else

	Bird  *predict.Bird // named on the line, or alone above it in the delivery
	Alone bool          // the line is the bird's name and nothing else
	part  int           // after how many lines that name its bird alone
	Clock parse.Clock   // on the line, or alone above it in the delivery
	Day   time.Time     // a day of the past, by its midnight: beside the time, or above as the bird
	Clear bool          // a slate or a name ends what was told before the delivery
	order int           // among the evidence

	Bunched bool // it came too fast for its stamp to say more than the pass

	Match Match
	Came  []storage.ContactKey // the contacts that it made or changed
}

// At is when the message was sent.
func (l *Line) At() time.Time { return l.Message.Said.At }

// own reports whether the line says by itself which pass or time is meant.
func (l *Line) own() bool { return l.Bird != nil || l.Clock.IsSet() || l.Slate.Set }

// Tells reports whether contacts stand on the line.
func (l *Line) Tells() bool { return len(l.Look.Contacts) > 0 }

// contacts is how many contacts a line may make.
func (l *Line) contacts() int {
	if l.Names != nil && !l.Names.Open || l.Message.AnswersContact() {
		return 0
	}
	return len(l.Look.Contacts)
}

// count adds the stations that a line may tell as new contacts. A grid alone is none.
func (l *Line) count(stations map[string]bool) {
	if l.contacts() == 0 {
		return
	}
	for i, c := range l.Look.Contacts {
		switch {
		case c.Corrects:
		case c.Call.IsValid():
			stations[c.Call.Base()] = true
		case c.Why != parse.NoCall:
			stations[fmt.Sprint(l.Message.Said.Message, l.Row, i)] = true
		}
	}
}

// Inline is the first time told beside a contact of the line.
func (l *Line) Inline() parse.Clock {
	for _, c := range l.Look.Contacts {
		if c.Clock.IsSet() {
			return c.Clock
		}
	}
	return parse.Clock{}
}

// Answers reports whether the line is about a contact told before.
func (l *Line) Answers() bool { return l.Message.Said.Reply != nil || len(l.About) > 0 || l.Named }

// AnswersContact reports whether a message answers contacts: what it says holds for
// those alone.
func (m *Message) AnswersContact() bool {
	r := m.Said.Reply
	return r != nil && (len(r.Contacts) > 0 || r.Message != 0)
}

// Voice is the voice message that a line answers, 0 if none.
func (l *Line) Voice() int64 {
	if r := l.Message.Said.Reply; r != nil {
		return r.Voice
	}
	return 0
}

// Phone is the phone that a message was written on.
func (m *Message) Phone() int64 { return phones.Of(m.Said.Message) }

// FromPhoneOf reports whether a line was written on the phone that sent a message.
func (l *Line) FromPhoneOf(message int64) bool { return l.Message.Phone() == phones.Of(message) }

// A Delivery is the messages that came in together from one phone, seconds apart.
type Delivery struct {
	phone         int64
	Began, Silent time.Time
	Lines         []*Line // but for those that somebody else wrote
	contacts      int
	weighing

	Answers []Answer
	InOrder bool // the answer that each part is one pass's
}

// An Answer is a pass that was tapped or named, and when, where it was asked which is meant.
type Answer struct {
	Pass storage.PassID
	At   time.Time
}

// A DeliveryID names a delivery by when it began, in Unix milliseconds, and by its phone: two
// phones may begin one at the same moment, and the times of some apps are whole seconds.
type DeliveryID int64

// DeliveryOf is the delivery that a message came in.
func DeliveryOf(said *storage.Evidence) DeliveryID {
	id, _ := phones.Message(phones.Of(said.Message), cmp.Or(said.Began, said.At).UnixMilli())
	return DeliveryID(id)
}

// ID names the delivery.
func (v *Delivery) ID() DeliveryID {
	id, _ := phones.Message(v.phone, v.Began.UnixMilli())
	return DeliveryID(id)
}

// Began is when the delivery began.
func (id DeliveryID) Began() time.Time { return time.UnixMilli(phones.OnPhone(int64(id))).UTC() }

// AnsweredBy reports whether evidence answers which pass the delivery is of. An answer from
// before answers named a message of theirs holds for every phone.
func (id DeliveryID) AnsweredBy(ev *storage.Evidence) bool {
	return !ev.Undone && ev.Kind == storage.EvPass && ev.Delivery.Equal(id.Began()) &&
		(ev.Message == 0 || phones.Of(ev.Message) == phones.Of(int64(id)))
}

// A Correspondence is the evidence as it stands: messages after their edits, without
// what was taken back, and the deliveries they came in.
type Correspondence struct {
	Messages   map[int64]*Message
	Order      []*Message // as they were sent
	Deliveries []*Delivery
}

// Collect makes the correspondence of evidence. From then on the same passes are asked
// for once.
func Collect(f *Facts, evidence []storage.Evidence) *Correspondence {
	f.Passes = once(f.Passes)
	t := &Correspondence{Messages: map[int64]*Message{}}
	for i := range evidence {
		ev := &evidence[i]
		switch m := t.Messages[ev.Message]; {
		case ev.Undone:
		case ev.Kind == storage.EvSaid:
			m = &Message{Said: ev}
			m.lineage.Say(ev.Text)
			t.Messages[ev.Message] = m
		case ev.Kind == storage.EvEdited && m != nil:
			m.lineage.Say(ev.Text)
		case ev.Kind == storage.EvMeans && m != nil:
			m.Means = ev.Contact
		}
	}
	for i := range evidence {
		m := t.Messages[evidence[i].Message]
		if m == nil || m.Said != &evidence[i] {
			continue
		}
		t.Order = append(t.Order, m)
		m.Delivery = t.deliveryOf(m.Said)
		f.cut(m, i)
		f.look(m)
		var apart []*Line // what they say reaches to the end of their message
		for _, l := range m.Lines {
			if l.Theirs || m.AnswersContact() {
				apart = append(apart, l)
			}
			if !l.Theirs {
				m.Delivery.Lines = append(m.Delivery.Lines, l)
				m.Delivery.contacts += l.contacts()
			}
		}
		f.scope(apart)
	}
	for _, v := range t.Deliveries {
		f.scope(lists.Filter(v.Lines, func(l *Line) bool { return !l.Message.AnswersContact() }))
	}
	return t
}

// cut makes the lines of a message, which has its place among the evidence. Of a line
// that says something of a contact its text is that.
func (f *Facts) cut(m *Message, order int) {
	quoted := false // up to a blank line
	for row, n := range m.lineage.Lines {
		l := &Line{
			Message: m, Number: n.Number, Row: row + 1, Text: n.Text, order: order,
			Theirs: m.Said.Forwarded || parse.IsQuoted(n.Text), Behind: quoted,
		}
		quoted = parse.IsQuoted(n.Text) || quoted && strings.TrimSpace(n.Text) != ""
		m.Lines = append(m.Lines, l)
		if m.AnswersContact() {
			l.Text = idiom.WithoutIs(l.Text)
			if call, grid, ok := idiom.GridGiven(l.Text); ok {
				l.Text = call.String() + " " + grid.String()
			}
		}
		if l.Theirs {
			continue
		}
		if grid, ok := idiom.TheirGrid(n.Text); ok {
			l.Text = grid
			continue
		}
		names := n.Text
		if day, rest, ok := idiom.DayBeside(l.Text, m.Said.At.UTC()); ok && m.Said.At.Sub(day) < KnownBack && !m.AnswersContact() && !idiom.SlateIn(l.Text).Set {
			l.Day, l.Text, names = day, rest, rest
		}
		if named, ok := idiom.Named(names, f.isBird); ok {
			l.Names = &named
		}
		if n, ok := idiom.Numbered(n.Text); ok {
			l.About, l.Place, l.Text, l.Where = n.All, n.Place, n.Says, n.Words
		}
		if idiom.HasLocal(l.Text) {
			l.Text = idiom.InUTC(l.Text, m.Said.At, func(clock parse.Clock) *time.Location { return f.localZone(clock, m.Said) })
		}
	}
}

func (f *Facts) isBird(name string) bool { _, known := f.Bird(name); return known }

// deliveryOf is the delivery that a message came in: its phone's last one so far, or a
// new one.
func (t *Correspondence) deliveryOf(said *storage.Evidence) *Delivery {
	v := &Delivery{phone: phones.Of(said.Message), Began: cmp.Or(said.Began, said.At), Silent: said.Silent}
	if last := t.before(v, len(t.Deliveries)); last != nil && last.Began.Equal(said.Began) {
		return last
	}
	t.Deliveries = append(t.Deliveries, v)
	return v
}

// before is the last of the first n deliveries that came from the same phone as another.
func (t *Correspondence) before(v *Delivery, n int) *Delivery {
	for _, o := range slices.Backward(t.Deliveries[:n]) {
		if o.phone == v.phone {
			return o
		}
	}
	return nil
}

// look reads a message for what says which pass its lines belong to, and what lines
// say of those below them.
func (f *Facts) look(m *Message) {
	texts := make([]string, len(m.Lines))
	for i, l := range m.Lines {
		texts[i] = l.Text
	}
	own := f.OwnAt(m.Said.At, m.Said, storage.Pass{})
	birds := question.Birds{Is: f.isBird, Names: f.Names}
	var under parse.Header
	for i, look := range f.Read(strings.Join(texts, "\n"), parse.Known{Own: own.Call, OwnGrids: own.Grids, Birds: f.Names}) {
		l := m.Lines[i]
		l.Look, l.Under = look, under
		if len(l.About) > 0 { // it says nothing of its pass
			l.Look = parse.Line{Denies: look.Denies}
			continue
		}
		if q, ok := oneself.Read(m.lineage.Lines[i].Text, own.Call); ok && !l.Theirs && !(q.Kind == oneself.MaybeCall && m.Said.Reply != nil) {
			l.Asks, l.Look, l.Names = &q, parse.Line{}, nil
			continue
		}
		q, ok := question.Read(l.Text, birds)
		if ok && q.Call != "" {
			l.Asks, l.Look = &q, parse.Line{}
			continue
		}
		if !slices.ContainsFunc(look.Contacts, func(c parse.Contact) bool { return c.Call.IsValid() }) {
			isPlace := q.Grids != "" // one's own, not somebody's
			if !ok && !look.Asks && idiom.Asks(l.Text) {
				q, ok, isPlace = question.Question{Kind: question.Speech}, true, true // in words that no form has
			}
			if ok && (isPlace || !slices.ContainsFunc(look.Contacts, IsSome)) &&
				!((q.Doubtful() || len(m.Lines) > 1) && !idiom.IsAsked(l.Text) && (look.Denies || look.Withdraws)) {
				l.Asks, l.Look = &q, parse.Line{}
				continue
			}
		}
		if look.Bird != "" && !l.Tells() && !look.Clock.IsSet() { // "WICKET-1 07:16"
			words := strings.Fields(l.Text)
			l.Look.Clock, _ = idiom.ClockIn(words[len(words)-1])
		}
		_, answers := idiom.YesOrNo(l.Text) // nothing, where nothing asked it
		if answers && len(m.Lines) == 1 && m.Said.Reply == nil || idiom.Inquires(l.Text) && !slices.ContainsFunc(look.Contacts, IsSome) {
			l.Look.Denies, l.Look.Withdraws, l.Look.Affirms = false, false, false
		}
		under = look.Below(under)
		if l.Slate = idiom.SlateIn(l.Text); l.Slate.Set {
			l.Look.Contacts, l.Look.Clock = nil, parse.Clock{}
		}
	}
}

// IsSome reports whether a reading holds anything of a contact.
func IsSome(c parse.Contact) bool {
	return c.Call.IsValid() || len(Candidates(c)) > 0 || len(c.Grids) > 0 || c.Why == parse.Partial
}

// scope says how far names and times on lines of their own reach: to the end of
// the delivery; of those that somebody else wrote, or that answer contacts, to the end
// of their message. A name beside a contact is for its line alone; in what is only said
// about a bird its name chooses nothing.
func (f *Facts) scope(lines []*Line) {
	var above *predict.Bird
	var clock parse.Clock
	var day time.Time
	clear := false
	parts := map[int]int{}
	for _, l := range lines {
		bird, named := f.Bird(l.Look.Bird)
		named = named && l.Look.Bird != "" && (l.Tells() || l.Slate.Set || idiom.NamesAlone(l.Text, l.Look.Bird))
		switch {
		case l.Slate.Set:
			clock, clear = parse.Clock{}, true
			if day = (time.Time{}); named {
				above = &bird
			}
		case named && !l.Tells():
			l.Alone, above, clear, day = true, &bird, true, l.Day
			parts[bird.Catalog]++
		}
		if l.Look.Clock.IsSet() {
			clock = l.Look.Clock
		}
		l.Bird, l.Clock, l.Clear = above, clock, clear
		if l.Day.IsZero() && !named {
			l.Day = day
		}
		if named {
			l.Bird = &bird
		}
		if l.Bird != nil {
			l.part = parts[l.Bird.Catalog]
		}
	}
}

// Holds reports whether a pass is among some.
func Holds(passes []storage.Pass, id storage.PassID) bool {
	return slices.ContainsFunc(passes, func(p storage.Pass) bool { return p.ID == id })
}

// Outcome is what became of a message: the contacts that its lines made or changed,
// and the pass of the last line.
type Outcome struct {
	ID       int64
	Contacts []storage.ContactKey
	Pass     storage.PassID
	// Told are the recordings whose slate it tells, with what that was before.
	Told []Told
	// Alone is set where the message does nothing but name a bird, or a time.
	Alone bool
	// NotUp is a bird that it names and that had no pass.
	NotUp string
	// Unheld is a time told on a line of its own that holds for nothing: none of the
	// birds was up then, or another pass has begun since.
	Unheld Unheld
	// Asks are the stations, or grids alone, that it asks about: were they worked?
	Asks []Inquiry
	// Questions are what it asks beside that.
	Questions []question.Question
	// Ignored says that the message answers a contact and says nothing of it. Which are
	// the contacts that it could mean.
	Ignored Ignored
	Which   []storage.ContactKey
}

// Speaks reports whether a message speaks of the log: what it says is no note, and no
// question.
func (m Outcome) Speaks() bool {
	return len(m.Contacts) > 0 || len(m.Told) > 0 || m.Alone || m.NotUp != "" || m.Unheld.Clock.IsSet() || m.Ignored != "" && m.Ignored != NotHeard
}

// An Inquiry asks whether a station, or grids alone, were worked: with a bird, if one is
// named.
type Inquiry struct {
	parse.Station
	Bird storage.BirdRef
}

// Ignored says why an answer to a contact changed nothing.
type Ignored string

// Why an answer changed nothing.
const (
	WhichOne  Ignored = "which"      // it could mean several contacts
	NoRewrite Ignored = "no rewrite" // a word that could be a name or a suffix
	NotRight  Ignored = "not right"  // it says that a contact is wrong, and not what is right
	NoNumber  Ignored = "no number"  // no such contact stands under the pass
	TooMany   Ignored = "too many"   // it names more contacts than a line may
	NoCall    Ignored = "no call"    // no contact with a call that it names
	NoneGiven Ignored = "none given" // "same grid" of a station that gave none
	NotThen   Ignored = "not then"   // it puts a contact on a bird that was not up at its time
	NotHeard  Ignored = "not heard"  // it says that a station was not heard: a note
)

// Told is a slate that was told.
type Told struct {
	Of     storage.Recording
	Slate  time.Time
	Before time.Time // the one told before; zero: none
}

// Told is what became of a message.
func (m *Message) Told() Outcome {
	out := m.Outcome
	out.ID, out.Alone = m.Said.Message, true
	for _, l := range m.Lines {
		out.Contacts = append(out.Contacts, l.Came...)
		out.Pass = cmp.Or(l.Match.Pass.ID, out.Pass)
		out.Alone = out.Alone && (l.Alone || l.Look.Clock.IsSet() || strings.TrimSpace(l.Text) == "")
	}
	return out
}

// Unheld is a time on a line of its own that doesn't hold, and for which pass it was
// told; no pass: no bird was up then.
type Unheld struct {
	Clock parse.Clock
	Pass  storage.PassID
}

// Candidates are those of a reading that could be logged.
func Candidates(c parse.Contact) []storage.Candidate {
	var all []storage.Candidate
	for _, cand := range c.Candidates {
		if cand.Call.IsValid() {
			all = append(all, storage.Candidate{Call: cand.Call, Grids: cand.Grids})
		}
	}
	return all
}

package bot

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/storage"
)

// The slate is the spoken mark at the start of a recording: own call, grid, bird,
// date, and the time in UTC. Contacts written down from the recording are told by
// their offset from it, and count from the time that was actually spoken.

// A spokenTime is the time of a slate as it was told: a time of day, perhaps with
// its date (midnight UTC).
type spokenTime struct {
	set  bool
	date time.Time
	day  time.Duration // since midnight
}

func (s spokenTime) isSet() bool { return s.set }

// near returns the moment meant: of the date told, else the one nearest to the
// pass or, without a pass, the latest before the message.
func (s spokenTime) near(pass storage.Pass, at time.Time) time.Time {
	if !s.date.IsZero() {
		return s.date.Add(s.day)
	}
	around := at.Add(-day / 2)
	if pass.ID != "" {
		around = pass.TCA
	}
	when := around.UTC().Truncate(day).Add(s.day)
	switch d := when.Sub(around); {
	case d > day/2:
		return when.Add(-day)
	case d <= -day/2:
		return when.Add(day)
	}
	return when
}

var (
	slateWord  = regexp.MustCompile(`(?i)^\W*slate\b|\butc\s+now\b|\bnow\s+utc\b`)
	slateClock = regexp.MustCompile(`(?i)\b([01]?\d|2[0-3])[:.]?([0-5]\d)(?:[:.]?([0-5]\d))?\s*(?:utc|z)?\W*$`)
	bareClock  = regexp.MustCompile(`(?i)^\s*([01]?\d|2[0-3]):?([0-5]\d)(?::?([0-5]\d))?\s*(?:utc|z)?\W*$`)
	isoDate    = regexp.MustCompile(`\b(\d{4}-\d{2}-\d{2})\b`)
	wordDate   = regexp.MustCompile(`\b(\d{1,2} [A-Za-z]{3,9} \d{4})\b`)
)

// slateIn reads a line that tells a slate: the word with a time behind it, or
// the whole sentence as it was spoken, up to "UTC now".
func slateIn(line string) spokenTime {
	if !slateWord.MatchString(line) {
		return spokenTime{}
	}
	return dated(slateClock.FindStringSubmatch(line), line)
}

// slateAnswer reads a line that holds nothing but a time of day.
func slateAnswer(line string) spokenTime {
	return dated(bareClock.FindStringSubmatch(line), "")
}

func dated(clock []string, line string) spokenTime {
	if clock == nil {
		return spokenTime{}
	}
	s := spokenTime{set: true}
	for i, unit := range []time.Duration{time.Hour, time.Minute, time.Second} {
		n, _ := strconv.Atoi(clock[i+1]) // "" is no seconds
		s.day += time.Duration(n) * unit
	}
	if m := isoDate.FindString(line); m != "" {
		s.date, _ = time.Parse(time.DateOnly, m)
	}
	for _, form := range []string{"2 January 2006", "2 Jan 2006"} {
		if t, err := time.Parse(form, wordDate.FindString(line)); err == nil {
			s.date = t
		}
	}
	return s
}

// recordingOf names the recording that a contact was written down from.
func recordingOf(c storage.Contact) storage.Recording {
	if c.Mark != nil && c.Mark.Voice != 0 {
		return storage.Recording{Voice: c.Mark.Voice}
	}
	return storage.Recording{Pass: c.Pass}
}

// slateOf returns the slate that offsets count from under a filing: that of the
// voice message answered, else of the pass.
func (p *plan) slateOf(f filing, voice int64) time.Time {
	switch {
	case voice != 0:
		m, _ := p.messageOf(voice)
		return m.Slate
	case f.pass.ID != "":
		pass, _ := p.pass(f.pass.ID)
		return pass.Slate
	case p.ev.At.Sub(p.op.Slate.Told) <= lookBack:
		return p.op.Slate.At
	}
	return time.Time{}
}

// markOf is where a reading stands in the recording, nil if it names no offset.
// A time of its own says more than an offset.
func (s *scribe) markOf(c parse.Contact) *storage.Mark {
	if !c.Offset.IsSet() || c.Clock.IsSet() {
		return nil
	}
	mark := storage.Mark{Offset: c.Offset.Duration(), Slate: s.slate, Voice: s.voice}
	if mark.Slate.IsZero() {
		mark.Slate = s.slateOf(s.filing, s.voice)
	}
	return &mark
}

// withSlate is a contact whose mark counts from the slate of a filing, if it had
// none yet.
func (p *plan) withSlate(c storage.Contact, f filing) storage.Contact {
	mark := *c.Mark
	if mark.Slate.IsZero() {
		mark.Slate = p.slateOf(f, mark.Voice)
	}
	c.Mark = &mark
	return c
}

// remarked is a contact with the offset that an answer names.
func (p *plan) remarked(c storage.Contact, said parse.Contact, pass storage.Pass) storage.Contact {
	mark := storage.Mark{Offset: said.Offset.Duration()}
	if c.Mark != nil {
		mark.Slate, mark.Voice = c.Mark.Slate, c.Mark.Voice
	}
	c.Mark, c.Clock = &mark, parse.Clock{}
	return timed(p.withSlate(c, filing{pass: pass}), pass)
}

// startsAt remembers with a pass the slate that its contacts count from.
func (s *scribe) startsAt(f filing, mark *storage.Mark) {
	pass, ok := s.pass(f.pass.ID)
	if ok && mark.Voice == 0 && !mark.Slate.IsZero() && !pass.Slate.Equal(mark.Slate) {
		pass.Slate = mark.Slate
		s.passes[pass.ID] = pass
	}
}

// toldIn takes the slate that a line tells, for the contacts that wait for it and
// for those to come; false if it tells none.
func (s *scribe) toldIn(line parse.Line) bool {
	told := slateIn(line.Text)
	if !told.isSet() {
		return false
	}
	s.clock = parse.Clock{}
	s.slate = told.near(s.filing.pass, s.message.At)
	if !inRecordingOf(s.filing.pass, s.slate) {
		s.filing = s.recorded(s.slate, s.filing)
	}
	r := storage.Recording{Pass: s.filing.pass.ID, Voice: s.voice}
	if s.voice != 0 {
		r.Pass = ""
	}
	was, _ := s.pass(r.Pass)
	for _, c := range s.setSlate(r, s.slate, s.cause) {
		s.came(c.ID)
	}
	if s.cause.Kind == "edit" && !was.Slate.IsZero() {
		s.reslate(was.Slate)
	}
	s.slates = append(s.slates, r)
	return true
}

// reslate moves the contacts of a message's recording to the slate that its
// edited line tells.
func (s *scribe) reslate(was time.Time) {
	for _, c := range s.contactsOf(s.filing.pass.ID) {
		if c.Mark != nil && c.Mark.Slate.Equal(was) && c.State != storage.Dropped {
			s.came(s.slated(c, s.slate, s.cause).ID)
		}
	}
}

// recorded is the filing of a slate that lies in one followed pass, or just
// before it; else the filing stays.
func (p *plan) recorded(slate time.Time, f filing) filing {
	fitting := only(p.passesIn(slate.Add(-time.Minute), slate.Add(slateLead)), func(pass storage.Pass) bool {
		if f.named && f.bird.Name == "" && len(f.rivals) > 0 {
			return inRecordingOf(pass, slate) && among(f.rivals, pass)
		}
		if f.named && pass.Bird.Catalog != f.bird.Catalog {
			return false
		}
		return inRecordingOf(pass, slate) && (f.named || pass.Followed())
	})
	if len(fitting) != 1 {
		return f
	}
	g := p.under(fitting[0])
	g.late, g.named = f.late, f.named
	return g
}

func among(passes []storage.Pass, pass storage.Pass) bool {
	return slices.ContainsFunc(passes, func(other storage.Pass) bool { return other.ID == pass.ID })
}

// byMark lets the moment of a contact in a recording say which of several passes
// is meant, if it falls into one only.
func (p *plan) byMark(f filing, mark *storage.Mark) filing {
	if mark == nil || mark.Slate.IsZero() || f.pass.ID != "" {
		return f
	}
	one := only(f.rivals, func(pass storage.Pass) bool { return fitting(pass, mark.Slate.Add(mark.Offset)) })
	if len(one) != 1 {
		return f
	}
	g := p.under(one[0])
	g.late, g.named = f.late, f.named
	return g
}

// restoreSlate gives a recording the slate back that undo gave a contact of it.
func (p *plan) restoreSlate(c storage.Contact) {
	if c.Mark == nil || c.State == storage.Dropped {
		return
	}
	if m, ok := p.messageOf(c.Mark.Voice); ok && c.Mark.Voice != 0 {
		m.Slate = c.Mark.Slate
		p.changeMessage(m)
	} else if pass, ok := p.pass(c.Pass); ok {
		pass.Slate = c.Mark.Slate
		p.passes[pass.ID] = pass
	}
}

// slateLead is how long before AOS a recording may begin.
const slateLead = 15 * time.Minute

func inRecordingOf(pass storage.Pass, slate time.Time) bool {
	return pass.ID != "" && !slate.Before(pass.AOS.Add(-slateLead)) && slate.Before(pass.LOS)
}

// fitting reports whether a contact can have been made on a pass at a moment.
func fitting(pass storage.Pass, when time.Time) bool {
	return !when.Before(pass.AOS.Add(-clockSlack)) && !when.After(pass.LOS.Add(clockSlack))
}

func sameMark(a, b *storage.Mark) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Offset == b.Offset && a.Slate.Equal(b.Slate) && a.Voice == b.Voice
}

// changeMessage puts an earlier message, changed, into the plan.
func (p *plan) changeMessage(m storage.Message) {
	for i := range p.others {
		if p.others[i].ID == m.ID {
			p.others[i] = m
			return
		}
	}
	p.others = append(p.others, m)
}

// timed gives a contact its time from its mark; without a slate it waits. One that
// was still to come when it was written down can't be.
func timed(c storage.Contact, pass storage.Pass) storage.Contact {
	if c.Why == whySlate || c.Why == whyTime {
		c.Why = ""
	}
	if c.Mark.Slate.IsZero() {
		c.Why = either(c.Why, whySlate)
		return c
	}
	c.Time, c.TimeSource = c.Mark.Slate.Add(c.Mark.Offset), storage.FromRecording
	toCome := !c.Made.IsZero() && c.Time.After(c.Made.Add(clockSlack))
	if pass.ID != "" && !fitting(pass, c.Time) || toCome {
		c.Why = either(c.Why, whyTime)
	}
	return c
}

// setSlate takes the slate of a recording and times what waited for it.
func (p *plan) setSlate(r storage.Recording, slate time.Time, cause storage.Cause) []storage.Contact {
	p.op.SlateFor = nil
	var waiting []storage.Contact
	switch {
	case r.Voice != 0:
		voice, ok := p.messageOf(r.Voice)
		if !ok {
			return nil
		}
		voice.Slate = slate
		p.changeMessage(voice)
		waiting = p.inVoice(voice)
	case r.Pass != "":
		pass, ok := p.pass(r.Pass)
		if !ok {
			return nil
		}
		pass.Slate = slate
		p.passes[pass.ID] = pass
		waiting = p.contactsOf(pass.ID)
	default:
		p.op.Slate = storage.Slate{At: slate, Told: p.ev.At}
		waiting = p.waiting()
	}
	var now []storage.Contact
	for _, c := range waiting {
		if c.Mark == nil || !c.Mark.Slate.IsZero() || c.State == storage.Dropped || recordingOf(c) != r {
			continue
		}
		now = append(now, p.slated(c, slate, cause))
	}
	return now
}

// slated gives one contact its slate.
func (p *plan) slated(c storage.Contact, slate time.Time, cause storage.Cause) storage.Contact {
	mark := *c.Mark
	mark.Slate = slate
	c.Mark, c.Cause = &mark, cause
	pass, _ := p.pass(c.Pass)
	c = timed(c, pass)
	return p.add(rejudge(c))
}

// toldSlate answers a slate that was told: by a tap, by a reply, or by a time in
// a message of its own while the question is open.
func (p *plan) toldSlate(r storage.Recording, slate time.Time, kind string) {
	moved := p.setSlate(r, slate, storage.Cause{Kind: kind, Message: p.ev.Message})
	p.slates = append(p.slates, r)
	p.saySlate(r)
	for _, c := range moved {
		if c.State == storage.Doubtful {
			p.question(c)
		}
	}
	p.refreshAcks(0)
	p.refreshSummaries()
}

// saySlate says what the slate of a recording is by now, where it was asked.
func (p *plan) saySlate(r storage.Recording) {
	slate := p.slateOf(filing{pass: storage.Pass{ID: r.Pass}}, r.Voice)
	n := len(only(p.touched(), func(c storage.Contact) bool { return c.Mark != nil && recordingOf(c) == r }))
	p.put(storage.Post{Name: p.slatePost(r), ReplyTo: p.ev.Message, Text: say.SlateTold(p.recordingName(r), slate, n), Pass: r.Pass})
}

func (p *plan) slatePost(r storage.Recording) string {
	if r.Voice != 0 {
		return p.name("slate", "voice", r.Voice)
	}
	if r.Pass == "" {
		return p.name("slate", "none")
	}
	return p.name("slate", r.Pass)
}

// askSlates asks, once a recording, when its slate was spoken.
func (p *plan) askSlates(contacts []storage.Contact) {
	asked := map[storage.Recording]bool{}
	for _, c := range contacts {
		r := recordingOf(c)
		if c.State != storage.Doubtful || c.Why != whySlate || asked[r] {
			continue
		}
		asked[r] = true
		p.op.SlateFor = &r
		p.put(storage.Post{
			Name: p.slatePost(r), ReplyTo: c.Message, Text: say.AskSlate(p.recordingName(r)),
			Buttons: p.slateOffers(r), Pass: r.Pass,
		})
	}
}

// slateOffers are the times that a recording may have begun at, one tap each: a
// voice message that came live began its length before it was sent, and a time
// on a line of its own may be the slate.
func (p *plan) slateOffers(r storage.Recording) [][]storage.Button {
	var rows [][]storage.Button
	offer := func(when time.Time, why string) {
		data := fmt.Sprintf("%s:%d:%d:%s", tapSlate, when.Unix(), r.Voice, r.Pass)
		rows = append(rows, []storage.Button{{Label: say.Clock(when) + why, Data: data}})
	}
	for _, m := range p.voices(r) {
		if length, err := time.ParseDuration(m.Voice); err == nil && !m.VoiceLate && len(rows) < maxChoices-1 {
			offer(m.At.Add(-length), say.LabelFromVoice)
		}
	}
	if pass, ok := p.pass(r.Pass); ok && p.op.Timing != nil && p.op.Timing.Clock.HasHour() {
		offer(nearest(p.op.Timing.Clock, pass.TCA), say.LabelFromTyped)
	}
	return rows
}

// tapSlateAt answers the button that offers a time for a slate.
func (p *plan) tapSlateAt(rest string) {
	parts := strings.SplitN(rest, ":", 3)
	if len(parts) != 3 {
		p.say(say.OldButton)
		return
	}
	unix, err := strconv.ParseInt(parts[0], 10, 64)
	voice, err2 := strconv.ParseInt(parts[1], 10, 64)
	if err != nil || err2 != nil {
		p.say(say.OldButton)
		return
	}
	p.toldSlate(storage.Recording{Pass: storage.PassID(parts[2]), Voice: voice}, time.Unix(unix, 0).UTC(), "tap")
}

// answersSlate takes a message that is nothing but a time as the answer to the
// open question for a slate, or to the one it replies to.
func (p *plan) answersSlate(m *storage.Message) bool {
	told := slateAnswer(m.Text)
	if !told.isSet() {
		told = slateIn(m.Text)
	}
	r := p.op.SlateFor
	if post, ok := p.repliedPost(); ok && strings.HasPrefix(post.Name, p.name("slate")+"/") {
		r = p.recordingOfPost(post)
	} else if ok || p.ev.ReplyTo != 0 {
		r = p.repliedVoice()
	}
	if r == nil || !told.isSet() || strings.Contains(m.Text, "\n") {
		return false
	}
	if p.ev.ReplyTo == 0 && r.Pass != "" && p.filingAt(m.At).pass.ID != r.Pass {
		return false // another pass has begun: the time is for that one
	}
	pass, _ := p.pass(r.Pass)
	m.Pass = r.Pass
	if r.Voice != 0 {
		voice, _ := p.messageOf(r.Voice)
		pass, _ = p.pass(voice.Pass)
		m.Pass = voice.Pass
	}
	m.Lines = []storage.MessageLine{{Text: m.Text}}
	m.Tells = r
	p.toldSlate(*r, told.near(pass, m.At), "slate")
	return true
}

// retell takes another slate out of the message that told one, edited.
func (p *plan) retell(m *storage.Message) {
	told := slateAnswer(m.Text)
	if !told.isSet() {
		told = slateIn(m.Text)
	}
	if !told.isSet() {
		p.say(say.SlateHow)
		return
	}
	r := *m.Tells
	m.Lines = []storage.MessageLine{{Text: m.Text}}
	pass, _ := p.pass(m.Pass)
	was, slate := p.slateOf(filing{pass: pass}, r.Voice), told.near(pass, m.At)
	cause := storage.Cause{Kind: "edit", Message: m.ID}
	marked := p.contactsOf(m.Pass)
	if voice, ok := p.messageOf(r.Voice); ok && r.Voice != 0 {
		marked = p.inVoice(voice)
	}
	for _, c := range marked {
		if c.Mark != nil && recordingOf(c) == r && c.Mark.Slate.Equal(was) && c.State != storage.Dropped {
			p.slated(c, slate, cause)
		}
	}
	p.toldSlate(r, slate, "edit")
}

func (p *plan) recordingOfPost(post storage.Post) *storage.Recording {
	for _, c := range p.contactsOf(post.Pass) {
		if r := recordingOf(c); c.Mark != nil && p.slatePost(r) == post.Name {
			return &r
		}
	}
	return &storage.Recording{Pass: post.Pass}
}

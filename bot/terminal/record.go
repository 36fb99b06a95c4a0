package terminal

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"

	"skyslate/storage"
)

// record is one thing that the bot did, as it is shown. Its JSON form is the
// one that -json prints.
type record struct {
	At      moment     `json:"at"`
	Post    *string    `json:"post"` // b7; null for a reaction
	Op      storage.Op `json:"op"`
	To      *string    `json:"to"` // the message answered, edited or reacted to
	Text    string     `json:"text"`
	Silent  bool       `json:"silent"`
	Buttons []string   `json:"buttons"` // labels
	Path    *string    `json:"path"`    // of a file
	// Operator is whose phone it came to, if that is not the usual operator's.
	Operator storage.OperatorID `json:"operator,omitempty"`

	spans []storage.Span
	// changed, if there are any, are all that a reader of text sees of an edit: the
	// lines of a pinned post that it did not have before. A phone changes it in place;
	// here it would stand again and again.
	changed []string
	pinned  bool
}

// moment is a time that JSON writes in UTC with three decimals.
type moment struct{ time.Time }

const momentForm = "2006-01-02T15:04:05.000Z"

// MarshalJSON writes the moment.
func (m moment) MarshalJSON() ([]byte, error) {
	return json.Marshal(m.UTC().Format(momentForm))
}

// printer shows what happens.
type printer struct {
	out   io.Writer
	json  bool
	typed bool // somebody types the lines and sees them: they are not printed again

	mu  sync.Mutex
	day string // the last date printed
}

// show prints what the bot did.
func (p *printer) show(r record) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.json {
		e := json.NewEncoder(p.out)
		e.SetEscapeHTML(false)
		return e.Encode(r)
	}
	var b strings.Builder
	fmt.Fprint(&b, p.stamp(r.At.Time))
	if r.Operator != "" {
		fmt.Fprintf(&b, "%s < ", r.Operator)
	}
	fmt.Fprintln(&b, headline(r))
	switch {
	case len(r.changed) > 0:
		indented(&b, r.changed)
	case r.Op != storage.React && r.Text != "":
		indented(&b, styledLines(r.Text, r.spans))
	}
	if len(r.Buttons) > 0 && len(r.changed) == 0 {
		fmt.Fprintf(&b, "    %s\n", buttonLine(r.Buttons))
	}
	_, err := io.WriteString(p.out, b.String())
	return err
}

// echo prints what somebody typed, with the name of the message that it made, empty
// if it made none.
func (p *printer) echo(at time.Time, who storage.OperatorID, name, said string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.json || p.typed && name == "" {
		return nil
	}
	if name != "" {
		name += " "
	}
	if p.typed {
		said = ""
	}
	line := spoken(who, name+printable(said))
	_, err := fmt.Fprintf(p.out, "%s%s\n", p.stamp(at), strings.TrimRight(line, " "))
	return err
}

// stamp is the time of day to the nearest second, as in the bot's own texts, and
// the date before it where that has changed.
func (p *printer) stamp(at time.Time) string {
	at = at.UTC().Round(time.Second)
	text := at.Format(time.TimeOnly) + " "
	if day := at.Format(time.DateOnly); day != p.day {
		p.day = day
		text = day + " UTC\n" + text
	}
	return text
}

// headline says in a line what the bot did. A post that makes a sound says so;
// most are silent.
func headline(r record) string {
	switch r.Op {
	case storage.React:
		return fmt.Sprintf("bot marks %s: %s", *r.To, printable(r.Text))
	case storage.Edit:
		if len(r.changed) > 0 {
			return *r.Post + " moves on"
		}
		return *r.Post + " now reads"
	}
	s := *r.Post
	if r.To != nil {
		s += " to " + *r.To
	}
	if r.Path != nil {
		s += " file " + *r.Path
	}
	if r.pinned {
		s += " (pinned)"
	}
	if !r.Silent {
		s += " (rings)"
	}
	return s
}

// newLines are the lines of a text that another did not have.
func newLines(text string, spans []storage.Span, before string) []string {
	var fresh []string
	old, lines := strings.Split(before, "\n"), styledLines(text, spans)
	for i, line := range strings.Split(text, "\n") {
		if !slices.Contains(old, line) {
			fresh = append(fresh, lines[i])
		}
	}
	return fresh
}

// buttonLine numbers the labels: the number is what ~ tap takes.
func buttonLine(labels []string) string {
	parts := make([]string, len(labels))
	for i, label := range labels {
		parts[i] = fmt.Sprintf("[%d %s]", i+1, printable(label))
	}
	return strings.Join(parts, " ")
}

func indented(b *strings.Builder, lines []string) {
	for _, line := range lines {
		fmt.Fprintln(b, strings.TrimRight("    "+printable(line), " "))
	}
}

// printable replaces what would act on the terminal instead of being read.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\t' {
			return unicode.ReplacementChar
		}
		return r
	}, s)
}

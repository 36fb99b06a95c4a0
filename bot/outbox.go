package bot

import (
	"errors"
	"slices"
	"time"

	"skyslate/bot/exchange"
	"skyslate/bot/layout"
	"skyslate/bot/say"
	"skyslate/storage"
)

// Outgoing is one thing to do in the operator's chat, ready to go out. Name is
// what Desk.Settled wants back.
type Outgoing struct {
	Name     string
	Operator storage.OperatorID
	Made     time.Time
	Op       storage.Op
	Edits    string // Edit: the app's name of the message to change
	ReplyTo  string // Send, File: the app's name of the message answered, or none; React: of the one reacted to
	Text     string
	Spans    []storage.Span // what of the text has a style, in order: see package say
	Buttons  [][]storage.Button
	Silent   bool
	Last     bool         // the farewell to somebody who is forgotten by now, and let in or not
	Keys     storage.Keys // a hint for apps that have such buttons
	Pin      storage.Pin  // a hint for apps that can pin
	NotAfter time.Time    // worthless later: the send is given up then
	Code     string       // a part of Text that lets somebody in, in whose place its address may stand
	Voice    string       // Send: a voice message given back, by the app's own reference
	FileName string       // File
	Body     []byte       // File: made by Desk.Fill
}

// Owed returns all that is to go out, in turn, ready but for its file, which Fill
// makes when its turn has come. What can never go out is dropped and logged; what
// is worthless by now is dropped too.
func (d *Desk) Owed(now time.Time) ([]Outgoing, error) {
	posts, err := d.store.Owed(now)
	if err != nil {
		return nil, err
	}
	var out []Outgoing
	for _, post := range posts {
		o, fit, err := d.ready(post, now)
		if err != nil {
			return nil, err
		}
		if fit {
			out = append(out, o)
		}
	}
	return out, nil
}

// Take returns what is to go out next, as Owed does, of all operators to whom
// nothing is going out. Release says that this is over.
func (d *Desk) Take(now time.Time) (o Outgoing, ok bool, err error) {
	for {
		post, ok, err := d.store.TakeOwed(now)
		if err != nil || !ok {
			return o, false, err
		}
		o, fit, err := d.ready(post, now)
		if err == nil && fit {
			return o, true, nil
		}
		d.Release(post.Operator)
		if err != nil {
			return o, false, err
		}
	}
}

// Release lets what is owed to an operator follow what was taken.
func (d *Desk) Release(op storage.OperatorID) { d.store.Release(op) }

// OwesTo reports whether anything must still go out to an operator.
func (d *Desk) OwesTo(op storage.OperatorID) bool { return d.store.OwesTo(op) }

// ready is a post as it goes out; not fit: it never can, and was dropped.
func (d *Desk) ready(post storage.Post, now time.Time) (o Outgoing, fit bool, err error) {
	o, err = d.render(post, now)
	fit, err = d.dropUnfit(post.Name, err, now)
	return o, fit, err
}

// Fill gives a post of Owed its file, if it is one that has any. It may take a
// while and is meant for the moment of sending: what waits for its turn, or for a
// phone that can't be reached, costs nothing. False: the file can't be made any
// more, and the post was dropped and logged.
func (d *Desk) Fill(o Outgoing, now time.Time) (filled Outgoing, ok bool, err error) {
	if o.Op != storage.File {
		return o, true, nil
	}
	o.Body, err = d.body(o.Name)
	ok, err = d.dropUnfit(o.Name, err, now)
	return o, ok, err
}

func (d *Desk) body(name string) (body []byte, err error) {
	var post storage.Post
	var owed bool
	err = d.store.View(func(v *storage.View) error {
		post, owed, err = v.Post(name)
		return err
	})
	switch {
	case err != nil:
		return nil, err
	case !owed:
		return nil, &exchange.UnfitError{Why: "it is owed no more", Harmless: true}
	}
	return d.maker.Document(post)
}

// dropUnfit drops a post that can never be rendered: false. Other errors are
// passed on.
func (d *Desk) dropUnfit(name string, err error, now time.Time) (fit bool, _ error) {
	var unfit *exchange.UnfitError
	if !errors.As(err, &unfit) {
		return err == nil, err
	}
	if unfit.Harmless {
		d.log.Info("a post has become needless; it is dropped", "post", name, "why", err)
		return false, d.store.Drop(name, unfit.Why, now)
	}
	d.log.Error("post dropped", "post", name, "err", err)
	return false, d.store.Fail(name, unfit.Why, now)
}

// Settled records that a post is out, under the messaging app's name (none where it
// gives none, as for a reaction).
func (d *Desk) Settled(name, appName string, at time.Time) error {
	return d.store.Settle(name, appName, at)
}

// Failed records that a post can never go out, and why.
func (d *Desk) Failed(name, why string, at time.Time) error {
	return d.store.Fail(name, why, at)
}

// Unwanted records that a post does not go out because nobody wants it.
func (d *Desk) Unwanted(name, why string, at time.Time) error {
	return d.store.Drop(name, why, at)
}

// Faults are what failed after a moment: see [storage.Store.Faults].
func (d *Desk) Faults(after time.Time) ([]storage.Fault, error) { return d.store.Faults(after) }

func (d *Desk) render(post storage.Post, now time.Time) (Outgoing, error) {
	text, spans := post.Text, post.Spans
	if post.Class == storage.ClassReminder { // it may have waited for its turn
		text = say.AsOf(text, post.Due, post.Made, now)
		spans = pushed(spans, len(text)-len(post.Text))
	}
	o := Outgoing{
		Name: post.Name, Operator: post.Operator, Made: post.Made, Op: post.Op,
		Text: layout.Plain(text), Spans: spans, Buttons: plainLabels(post.Buttons),
		Silent: post.Silent || !post.Hush.IsZero() && !now.Before(post.Hush),
		Last:   post.Last,
		Keys:   post.Keys, Pin: post.Pin, Code: post.Code, Voice: post.Voice, NotAfter: post.NotAfter,
	}
	if post.Op == storage.File {
		if post.Recipe == nil {
			return o, &exchange.UnfitError{Why: "a file without a recipe"}
		}
		o.FileName = layout.Plain(post.Recipe.FileName)
	}
	return o, d.store.View(func(v *storage.View) error {
		o.ReplyTo = v.Name(post.Operator, post.ReplyTo)
		if post.Op != storage.Edit {
			return nil
		}
		target, ok, err := v.Post(post.Target)
		if err == nil && (!ok || target.AppID == 0) {
			err = &exchange.UnfitError{Why: "the post to edit, " + post.Target + ", is not out", Harmless: true}
		}
		o.Edits = v.Name(post.Operator, target.AppID)
		return err
	})
}

// pushed are the spans of a text whose beginning, the first of them, has grown.
func pushed(spans []storage.Span, by int) []storage.Span {
	spans = slices.Clone(spans)
	for i := range spans {
		if spans[i].End += by; i > 0 {
			spans[i].Start += by
		}
	}
	return spans
}

func plainLabels(rows [][]storage.Button) [][]storage.Button {
	rows = slices.Clone(rows)
	for i, row := range rows {
		rows[i] = slices.Clone(row)
		for j := range row {
			rows[i][j].Label = layout.Plain(row[j].Label)
		}
	}
	return rows
}

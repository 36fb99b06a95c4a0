package bot

import (
	"bytes"
	"errors"
	"fmt"
	"time"

	"skyslate/storage"
	"skyslate/storage/logbook"
)

// Owed returns what is to go out, in turn, ready but for its file, which Fill
// makes when its turn has come. What can never go out is dropped and logged; what
// is worthless by now is dropped too.
func (d *Desk) Owed(now time.Time) ([]Outgoing, error) {
	posts, err := d.store.Owed(now)
	if err != nil {
		return nil, err
	}
	inTurn(posts)
	var out []Outgoing
	for _, post := range posts {
		o, err := d.render(post)
		fit, err := d.dropUnfit(post.Name, err, now)
		if err != nil {
			return nil, err
		}
		if fit {
			out = append(out, o)
		}
	}
	return out, nil
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
	err = d.store.View(func(v *storage.View) error {
		var known bool
		post, known, err = v.Post(name)
		if err == nil && !known {
			err = &unfitError{"it is owed no more"}
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return d.document(post)
}

// dropUnfit drops a post that can never be rendered: false. Other errors are
// passed on.
func (d *Desk) dropUnfit(name string, err error, now time.Time) (fit bool, _ error) {
	var unfit *unfitError
	if !errors.As(err, &unfit) {
		return err == nil, err
	}
	d.log.Error("post dropped", "post", name, "err", err)
	return false, d.store.Drop(name, unfit.why, now)
}

// Settled records that a post is out, under the messaging app's id (0 where it
// gives none, as for a reaction).
func (d *Desk) Settled(name string, appID int64, at time.Time) error {
	return d.store.Settle(name, appID, at)
}

// Failed records that a post can never go out, and why.
func (d *Desk) Failed(name, why string, at time.Time) error {
	return d.store.Drop(name, why, at)
}

// unfitError is a post that can never be rendered.
type unfitError struct{ why string }

func (e *unfitError) Error() string { return e.why }

func (d *Desk) render(post storage.Post) (Outgoing, error) {
	o := Outgoing{
		Name: post.Name, Operator: post.Operator, Op: post.Op, ReplyTo: post.ReplyTo,
		Text: plain(post.Text), Buttons: plainLabels(post.Buttons), Silent: post.Silent, Last: post.Last, Keys: post.Keys, Pin: post.Pin, Voice: post.Voice,
	}
	switch post.Op {
	case storage.Edit:
		return o, d.store.View(func(v *storage.View) error {
			target, ok, err := v.Post(post.Target)
			if err == nil && (!ok || target.AppID == 0) {
				err = &unfitError{"the post to edit, " + post.Target + ", is not out"}
			}
			o.Edits = target.AppID
			return err
		})
	case storage.File:
		if post.Recipe == nil {
			return o, &unfitError{"a file without a recipe"}
		}
		o.FileName = plain(post.Recipe.FileName)
	}
	return o, nil
}

// document makes the file that a post's recipe describes.
func (d *Desk) document(post storage.Post) ([]byte, error) {
	switch r := post.Recipe; r.Kind {
	case recipeADIF:
		return d.adifFile(post)
	case recipeSky:
		return d.skyPicture(post)
	case recipeReach:
		return d.reachPicture(post)
	case recipeWorked:
		return d.workedPicture(post)
	case recipeCalendar:
		return d.calendarFile(post)
	}
	return nil, &unfitError{fmt.Sprintf("no known recipe: %+v", post.Recipe)}
}

// adifFile renders recipeADIF from the versions of the contacts that it names.
func (d *Desk) adifFile(post storage.Post) ([]byte, error) {
	r := post.Recipe
	var contacts []storage.Contact
	err := d.store.View(func(v *storage.View) error {
		for _, ref := range r.Contacts {
			c, ok, err := v.ContactAt(post.Operator, ref.ID, ref.Version)
			if err != nil {
				return err
			}
			if ok {
				contacts = append(contacts, c)
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := logbook.Write(&b, contacts, post.Made, d.version); err != nil {
		return nil, &unfitError{err.Error()}
	}
	return b.Bytes(), nil
}

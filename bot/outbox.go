package bot

import (
	"bytes"
	"errors"
	"fmt"
	"time"

	"skyslate/storage"
	"skyslate/storage/logbook"
)

// Owed returns what is to go out, in turn, rendered and ready. What can't
// be rendered is dropped and logged; what is worthless by now is dropped too.
func (d *Desk) Owed(now time.Time) ([]Outgoing, error) {
	posts, err := d.store.Owed(now)
	if err != nil {
		return nil, err
	}
	inTurn(posts)
	var out []Outgoing
	for _, post := range posts {
		o, err := d.render(post)
		if err == nil {
			out = append(out, o)
			continue
		}
		var unfit *unfitError
		if !errors.As(err, &unfit) {
			return nil, err
		}
		d.log.Error("post dropped", "post", post.Name, "err", err)
		if err := d.store.Drop(post.Name, err.Error(), now); err != nil {
			return nil, err
		}
	}
	return out, nil
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
		Text: plain(post.Text), Buttons: plainLabels(post.Buttons), Silent: post.Silent, Keys: post.Keys, Pin: post.Pin, Voice: post.Voice,
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
		body, err := d.document(post)
		if err != nil {
			return o, err
		}
		o.FileName, o.Body = plain(post.Recipe.FileName), body
	}
	return o, nil
}

// document makes the file that a post's recipe describes.
func (d *Desk) document(post storage.Post) ([]byte, error) {
	r := post.Recipe
	if r == nil {
		return nil, &unfitError{"a file without a recipe"}
	}
	switch r.Kind {
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
	return nil, &unfitError{fmt.Sprintf("no known recipe: %+v", r)}
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

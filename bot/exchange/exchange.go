// Package exchange takes files in and gives them out: logs and elements that an
// operator sends, the log handed over, pictures and calendars.
package exchange

import (
	"bytes"

	"skyslate/bot/sky"
	"skyslate/bot/watch"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// An Exchange takes files in and gives them out.
type Exchange struct{ watch.Planner }

// A Maker makes the files that posts have recipes of.
type Maker struct {
	Store   *storage.Store
	Skies   *sky.Skies
	Version string // named in the files
}

// UnfitError is a post that can never be rendered; harmless, if nothing is wrong
// with it but its time.
type UnfitError struct {
	Why      string
	Harmless bool
}

func (e *UnfitError) Error() string { return e.Why }

// Document makes the file that a post's recipe describes.
func (m Maker) Document(post storage.Post) ([]byte, error) {
	switch r := post.Recipe; r.Kind {
	case storage.RecipeADIF:
		return m.adifFile(post)
	case storage.RecipeSky, storage.RecipeReach:
		s, err := m.show(post, r.Pass)
		if err != nil {
			return nil, err
		}
		if r.Kind == storage.RecipeReach {
			return unfit(reachOfPass(s.views[0], r.Grids).PNG())
		}
		return unfit(skyOfPass(s.views[0], post.Made).PNG())
	case storage.RecipeWorked:
		return m.workedPicture(post)
	case storage.RecipeCalendar:
		return m.calendarFile(post)
	case storage.RecipeSheets:
		return m.sheets(post)
	}
	return nil, &UnfitError{Why: "no known recipe: " + post.Recipe.Kind}
}

// adifFile renders storage.RecipeADIF from the versions of the contacts that it names.
func (m Maker) adifFile(post storage.Post) ([]byte, error) {
	var contacts []storage.Contact
	err := m.Store.View(func(v *storage.View) error {
		for _, ref := range post.Recipe.Contacts {
			c, ok, err := v.ContactAt(post.Log(), ref.ID, ref.Version)
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
	err = logbook.Write(&b, contacts, post.Made, m.Version)
	return unfit(b.Bytes(), err)
}

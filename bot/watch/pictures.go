package watch

import (
	"strings"
	"time"

	"skyslate/bot/draw"
	"skyslate/bot/lists"
	"skyslate/bot/named"
	"skyslate/bot/outing"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// ShowSky sends the sky picture of the pass at hand, or of the next one of a
// bird.
func (p Answerer) ShowSky(rest string) {
	if pass, ok := p.pictured(rest); ok {
		p.Post(p.sky(pass, p.Event.Message))
	}
}

// ShowReach sends what the pass at hand reaches; the words are grids wanted, and
// a bird.
func (p Answerer) ShowReach(rest string) {
	var grids []parse.Grid
	var name []string
	for word := range strings.FieldsSeq(rest) {
		if g, err := tx.GridIn(word); err == nil {
			grids = append(grids, g.Square())
		} else {
			name = append(name, word)
		}
	}
	if len(grids) == 0 {
		grids = p.Op.Wanted
	}
	if pass, ok := p.pictured(strings.Join(name, " ")); ok {
		p.sendReach(pass, grids, p.Event.Message)
	}
}

// TapPicture sends the picture that a button offers.
func (p Answerer) TapPicture(tap tx.Tap) {
	pass, ok := p.Pass(tap.Pass(0))
	switch {
	case !ok || pass.Void || !pass.LOS.After(p.Now()) || !p.canTell(pass):
		p.Say(say.OldButton)
	case tap.Verb == TapSky:
		p.Post(p.sky(pass, 0))
	default:
		p.sendReach(pass, p.Op.Wanted, 0)
	}
}

// pictured is the pass for a picture.
func (p Answerer) pictured(words string) (storage.Pass, bool) {
	p.Replan()
	pass, _, ok := p.passAsked(words, anyBird, say.NoPassToDraw)
	if ok && pass.AOS.After(p.Op.Planned) {
		p.PutPass(pass) // so that the picture finds it
	}
	return pass, ok
}

// canTell reports whether there is what it takes to tell of a pass.
func (p Planner) canTell(pass storage.Pass) bool {
	_, ok := p.PassView(pass)
	return ok
}

// sendSkyUnasked owes the sky picture of a pass with a reminder.
func (p Planner) sendSkyUnasked(pass storage.Pass) {
	post := p.sky(pass, 0)
	post.Offer = new(tx.Button(say.LabelSky, TapSky, pass.ID))
	p.Post(post)
}

// sky is the sky picture of a pass, worthless when it has set.
func (p Planner) sky(pass storage.Pass, replyTo int64) storage.Post {
	recipe := storage.Recipe{Kind: storage.RecipeSky, Pass: pass.ID}
	return p.picture("sky", pass, replyTo, say.SkyCaption(shown.Planned(pass)), recipe)
}

func (p Answerer) sendReach(pass storage.Pass, grids []parse.Grid, replyTo int64) {
	grids = grids[:min(len(grids), draw.MostWanted)]
	view, _ := p.PassView(pass)
	recipe := storage.Recipe{Kind: storage.RecipeReach, Pass: pass.ID, Grids: grids}
	p.Post(p.picture("reach", pass, replyTo, say.ReachCaption(view, grids), recipe))
}

func (p Planner) picture(what string, pass storage.Pass, replyTo int64, caption string, r storage.Recipe) storage.Post {
	r.FileName = shown.FileName(what, pass.Bird.Name, pass.AOS.UTC().Round(time.Second).Format("2006-01-02_1504Z")) + ".png"
	return storage.Post{
		Name: p.Name(what, p.Event.ID, pass.ID), Class: storage.ClassCard, Op: storage.File, ReplyTo: replyTo, Silent: true,
		Text: caption, NotAfter: pass.LOS, Pass: pass.ID, Recipe: &r,
	}
}

// pictureButtons offer the pictures of a pass.
func pictureButtons(pass storage.Pass) []storage.Button {
	return []storage.Button{
		tx.Button(say.LabelSky, TapSky, pass.ID),
		tx.Button(say.LabelReach, TapReach, pass.ID),
	}
}

// ShowCalendar sends the followed passes that are ahead as a calendar file.
func (p Answerer) ShowCalendar() {
	p.Replan()
	ahead := lists.Filter(p.StoredIn(p.Now(), p.Now().Add(outing.Ahead)), func(pass storage.Pass) bool {
		return pass.Followed() && pass.AOS.After(p.Now())
	})
	if len(ahead) == 0 {
		p.noPass(named.Pass{}, say.NothingFollowed)
		return
	}
	p.sendCalendar(ahead)
}

// sendCalendar owes a calendar file of passes.
func (p Planner) sendCalendar(passes []storage.Pass) {
	r := passesRecipe(storage.RecipeCalendar, passes, "passes", ".ics")
	p.Post(storage.Post{
		Name: p.Name("calendar", p.Event.ID), Op: storage.File, ReplyTo: p.Event.Message, Silent: true,
		Text: say.CalendarCaption(shown.Planned(passes[0]), len(passes)), Recipe: &r,
	})
}

package bot

import (
	"slices"
	"strings"
	"time"

	"skyslate/bot/draw"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// The kinds of recipe beside recipeADIF.
const (
	recipeSky      = "sky"      // Pass
	recipeReach    = "reach"    // Pass, Grids
	recipeWorked   = "worked"   // From, To, Bird, Span
	recipeCalendar = "calendar" // Passes
)

// The words after /worked; anything else is a bird.
const (
	workedAll   = "all"
	workedYear  = "year"
	workedToday = "today"
)

// showSky sends the sky picture of the pass at hand, or of the next one of a
// bird.
func (p *plan) showSky(rest string) {
	if pass, ok := p.pictured(rest); ok {
		p.sendSky(pass, p.Event.Message)
	}
}

// showReach sends what the pass at hand reaches; the words are grids wanted, and
// a bird.
func (p *plan) showReach(rest string) {
	var grids []parse.Grid
	var name []string
	for word := range strings.FieldsSeq(rest) {
		if g, err := parse.ParseGrid(word); err == nil && g.Chars() >= 4 {
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

// tapPicture sends the picture that a button offers.
func (p *plan) tapPicture(verb string, id storage.PassID) {
	pass, ok := p.Pass(id)
	switch {
	case !ok || pass.Void || !pass.LOS.After(p.Now()) || !p.canTell(pass):
		p.Say(say.OldButton)
	case verb == tapSky:
		p.sendSky(pass, 0)
	default:
		p.sendReach(pass, p.Op.Wanted, 0)
	}
}

// pictured chooses the pass for a picture and says so if there is none: of the
// bird named or else of those listed the one that is up, or the next, one that
// grazes only where there is no other.
func (p *plan) pictured(name string) (storage.Pass, bool) {
	if !p.Ready() {
		p.Ask()
		return storage.Pass{}, false
	}
	belongs := p.listed
	if name != "" {
		bird, ok := p.Sky.Bird(name)
		if !ok {
			p.Say(say.UnknownBird(name, p.Sky.ProperNames()))
			return storage.Pass{}, false
		}
		belongs = func(pass storage.Pass) bool { return pass.Bird.Catalog == bird.Catalog }
	}
	p.replan()
	ahead := tx.Filter(p.PassesIn(p.Now(), p.Now().Add(planDays*tx.Day)), belongs)
	ahead = tx.Filter(ahead, func(pass storage.Pass) bool { return pass.LOS.After(p.Now()) && p.canTell(pass) })
	if len(ahead) == 0 {
		p.Say(say.NoPassToDraw)
		return storage.Pass{}, false
	}
	i := slices.IndexFunc(ahead, func(pass storage.Pass) bool { return pass.Up(p.Now()) || worthwhile(pass) })
	return ahead[max(i, 0)], true
}

// canTell reports whether there is what it takes to tell of a pass.
func (p *plan) canTell(pass storage.Pass) bool {
	_, ok := p.PassView(pass)
	return ok
}

// sendSky owes the sky picture of a pass, worthless when it has set.
func (p *plan) sendSky(pass storage.Pass, replyTo int64) {
	p.sendPicture("sky", pass, replyTo, say.SkyCaption(shown.Planned(pass)), storage.Recipe{Kind: recipeSky, Pass: pass.ID})
}

func (p *plan) sendReach(pass storage.Pass, grids []parse.Grid, replyTo int64) {
	grids = grids[:min(len(grids), draw.MostWanted)]
	view, _ := p.PassView(pass)
	p.sendPicture("reach", pass, replyTo, say.ReachCaption(view, grids), storage.Recipe{Kind: recipeReach, Pass: pass.ID, Grids: grids})
}

func (p *plan) sendPicture(what string, pass storage.Pass, replyTo int64, caption string, r storage.Recipe) {
	r.FileName = fileName(what, pass.Bird.Name, pass.AOS.UTC().Round(time.Second).Format("2006-01-02_1504Z")) + ".png"
	p.Post(storage.Post{
		Name: p.Name(what, p.Event.ID, pass.ID), Op: storage.File, ReplyTo: replyTo, Silent: true,
		Text: caption, NotAfter: pass.LOS, Pass: pass.ID, Recipe: &r,
	})
}

// pictureButtons offer the pictures of a pass.
func pictureButtons(pass storage.Pass) []storage.Button {
	return []storage.Button{
		{Label: say.LabelSky, Data: tapSky + ":" + string(pass.ID)},
		{Label: say.LabelReach, Data: tapReach + ":" + string(pass.ID)},
	}
}

// showWorked sends the map of the grids worked: all of them, this year's,
// today's, or those of a bird.
func (p *plan) showWorked(rest string) {
	if !p.Ready() {
		p.Ask()
		return
	}
	r := storage.Recipe{Kind: recipeWorked, To: p.Event.At.Add(tx.Day)}
	local := p.Event.At.In(p.Local())
	switch word := strings.ToLower(rest); word {
	case "", workedAll:
		r.Span = say.Ever
	case workedYear:
		r.From, r.Span = time.Date(local.Year(), 1, 1, 0, 0, 0, 0, local.Location()).UTC(), local.Format("2006")
	case workedToday:
		r.From, r.Span = tx.StartOfDay(p.Event.At, p.Local()), local.Format("2 Jan 2006")
	default:
		bird, ok := p.Sky.Bird(rest)
		if !ok {
			p.Say(say.UnknownSpan(rest, p.Sky.ProperNames()))
			return
		}
		r.Bird, r.Span = sky.Ref(bird), bird.Name
	}
	newest := p.newestWorked(r)
	if len(newest) == 0 {
		p.Say(say.NothingWorked(r.Span))
		return
	}
	r.FileName = fileName("worked", r.Span, p.Event.At.UTC().Format("2006-01-02")) + ".png"
	p.Post(storage.Post{
		Name: p.Name("worked", p.Event.ID), Op: storage.File, ReplyTo: p.Event.Message, Silent: true,
		Text: say.WorkedCaption(r.Span, newest), Recipe: &r,
	})
}

// newestWorked are the grids of the latest contact that a recipe's map shows. The
// others are left for the rendering: there may be very many.
func (p *plan) newestWorked(r storage.Recipe) []parse.Grid {
	newest, _ := tx.Got(p.Tx, func() (newest []parse.Grid, ok bool, err error) {
		err = p.View.VisitLatest(p.Op.ID, r.From, r.To, func(c storage.Contact) bool {
			_, newest = gridsWorked([]storage.Contact{c}, r.Bird)
			return len(newest) == 0
		})
		return newest, true, err
	})
	return newest
}

// gridsWorked are the squares in contacts that stand in the log or are
// remembered from another one, each once, and those of the latest. An empty bird
// means any.
func gridsWorked(contacts []storage.Contact, bird storage.BirdRef) (grids, newest []parse.Grid) {
	seen := map[parse.Grid]bool{}
	for _, c := range contacts {
		if !c.Exported() && c.State != storage.Remembered || len(c.Grids) == 0 ||
			bird.Name != "" && c.Bird.Name != bird.Name && c.Bird.LogName != bird.LogName {
			continue
		}
		newest = nil
		for _, g := range c.Grids {
			g = g.Square()
			newest = append(newest, g)
			if !seen[g] {
				seen[g] = true
				grids = append(grids, g)
			}
		}
	}
	return grids, newest
}

// showCalendar sends the followed passes that are ahead as a calendar file.
func (p *plan) showCalendar() {
	if !p.Ready() {
		p.Ask()
		return
	}
	p.replan()
	ahead := tx.Filter(p.PassesIn(p.Now(), p.Now().Add(outingAhead)), func(pass storage.Pass) bool {
		return pass.Followed() && pass.AOS.After(p.Now())
	})
	if len(ahead) == 0 {
		p.Say(say.NothingFollowed)
		return
	}
	p.sendCalendar(ahead)
}

// sendCalendar owes a calendar file of passes.
func (p *plan) sendCalendar(passes []storage.Pass) {
	r := storage.Recipe{
		Kind:     recipeCalendar,
		FileName: fileName("passes", passes[0].AOS.UTC().Format("2006-01-02"), say.Grids(passes[0].Place.Grids)) + ".ics",
	}
	for _, pass := range passes {
		r.Passes = append(r.Passes, pass.ID)
	}
	p.Post(storage.Post{
		Name: p.Name("calendar", p.Event.ID), Op: storage.File, ReplyTo: p.Event.Message, Silent: true,
		Text: say.CalendarCaption(shown.Planned(passes[0]), len(passes)), Recipe: &r,
	})
}

// fileName joins words to a name that every file system takes.
func fileName(words ...string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || r == '_' {
			return r
		}
		return '-'
	}, strings.Join(words, "_"))
}

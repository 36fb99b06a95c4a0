package exchange

import (
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// The words after /worked; anything else is a bird.
const (
	workedAll   = "all"
	workedYear  = "year"
	workedToday = "today"
)

// ShowWorked sends the map of the grids worked: all of them, this year's,
// today's, or those of a bird.
func (p Exchange) ShowWorked(rest string) {
	if !p.Ready() {
		p.Ask()
		return
	}
	r := storage.Recipe{Kind: storage.RecipeWorked, To: p.Event.At.Add(tx.Day)}
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
	r.FileName = shown.FileName("worked", r.Span, p.Event.At.UTC().Format("2006-01-02")) + ".png"
	p.Post(storage.Post{
		Name: p.Name("worked", p.Event.ID), Class: storage.ClassCard, Op: storage.File, ReplyTo: p.Event.Message, Silent: true,
		Text: say.WorkedCaption(r.Span, newest), Recipe: &r,
	})
}

// newestWorked are the grids of the latest contact that a recipe's map shows. The
// others are left for the rendering: there may be very many.
func (p Exchange) newestWorked(r storage.Recipe) []parse.Grid {
	newest, _ := tx.Got(p.Tx, func() (newest []parse.Grid, ok bool, err error) {
		err = p.View.VisitLatest(p.Op.ID, r.From, r.To, func(c storage.Contact) bool {
			_, newest = gridsWorked([]storage.Contact{c}, r.Bird)
			return len(newest) == 0
		})
		return newest, true, err
	})
	return newest
}

// gridsWorked are the squares in contacts by birds that stand in the log or are
// remembered from another one, each once, and those of the latest. An empty bird
// means any.
func gridsWorked(contacts []storage.Contact, bird storage.BirdRef) (grids, newest []parse.Grid) {
	seen := map[parse.Grid]bool{}
	for _, c := range contacts {
		if !tx.Remembered(c) || !tx.ByBird(c) || len(c.Grids) == 0 ||
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

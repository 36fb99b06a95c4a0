package watch

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/named"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// leastWindow is the shortest common window that is listed: no two stations
// exchange calls and grids in less. Common practice, no source.
const leastWindow = 30 * time.Second

// ShowWindows lists when both ends see a bird at once: "/with KO24", "/with KO24
// BIRD tomorrow 10:45".
func (p Answerer) ShowWindows(rest string) {
	word, which, _ := strings.Cut(rest, " ")
	if word == "" {
		p.Say(say.WithHow)
		return
	}
	grid, err := tx.GridIn(word)
	if err != nil {
		p.Say(err.Error())
		return
	}
	m, unread := p.words().Read(which, p.Event.At)
	if m.Zone.Unclear {
		p.Say(say.UnclearZone(m.Said))
		return
	}
	if len(unread) > 0 {
		if _, err := tx.GridIn(unread[0]); err == nil {
			p.Say(say.OneGrid)
			return
		}
		name := strings.Join(unread, " ")
		if _, known := p.Sky.Bird(name); !known {
			p.Say(say.UnknownBird(name, p.Sky.ProperNames()))
		}
		return
	}
	all, errs := p.windows(grid, m)
	p.Say(say.Windows(grid, all, say.Refusals(shown.Refused(errs)), say.WindowSpan(m.Noon(), PlanDays)))
}

// windows are the common windows with a grid on the passes meant, of the birds followed
// if none is named; without a day those of the days planned.
func (p Answerer) windows(grid parse.Grid, m named.Pass) (all []say.Window, errs []error) {
	since, until := p.Now(), p.Now().Add(PlanDays*tx.Day)
	if !m.To.IsZero() {
		since, until = timing.Later(since, m.From), m.To
	}
	for _, b := range p.Sky.Birds() {
		if m.Bird != b.Name && (m.Bird != "" || !p.Sky.Follows(p.Op.Remind, b)) {
			continue
		}
		e, _ := p.Sky.Elements(b.Catalog)
		from, to := sky.Trusted(e, since, until)
		table, err := p.Sky.Ephemeris(b.Catalog, from, to)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		for _, w := range predict.Windows(table, sky.Site(p.Op.Place), sky.GridSite(grid), from, to, 0) {
			long := w.End.Sub(w.Start)
			_, fits := m.Fits(storage.Pass{Bird: sky.Ref(b), AOS: w.Start, TCA: w.Start.Add(long / 2), LOS: w.End})
			if fits && long >= leastWindow {
				all = append(all, say.Window{Bird: b.Name, Window: w})
			}
		}
	}
	slices.SortFunc(all, func(a, b say.Window) int { return cmp.Or(a.Start.Compare(b.Start), strings.Compare(a.Bird, b.Bird)) })
	return all, errs
}

// SetWanted shows or changes the squares looked out for, and which passes reach
// them: "/wanted KO24 JP71", "/wanted none".
func (p Answerer) SetWanted(rest string) {
	if strings.EqualFold(rest, "none") {
		p.Op.Wanted = nil
	} else if rest != "" && !p.takeWanted(rest) {
		return
	}
	if len(p.Op.Wanted) == 0 {
		p.Say(say.NoneWanted)
		return
	}
	if !p.Ready() {
		p.Ask()
		return
	}
	p.Replan()
	var passes []say.Pass
	for _, pass := range p.Ahead() {
		if view, ok := p.PastView(pass); ok && p.listed(pass) {
			passes = append(passes, view)
		}
	}
	text := say.Wanted(p.Op.Wanted, passes)
	if len(passes) == 0 {
		p.noPass(named.Pass{}, text)
		return
	}
	p.Say(text)
}

// takeWanted has the squares among words looked out for, or says why it can't.
func (p Answerer) takeWanted(words string) bool {
	grids, left, err := tx.GridsAmong(words)
	if err != nil {
		p.Say(err.Error())
		return false
	}
	if left != "" {
		p.Say(say.BadGridLeft(left))
	}
	var squares []parse.Grid
	for _, g := range grids {
		if g = g.Square(); !slices.Contains(squares, g) {
			squares = append(squares, g)
		}
	}
	if len(squares) > MostWanted {
		p.Say(say.TooManyWanted(len(squares), MostWanted))
		return false
	}
	p.Op.Wanted = squares
	return true
}

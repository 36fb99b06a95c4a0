package watch

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
)

// leastWindow is the shortest common window that is listed: no two stations
// exchange calls and grids in less. Common practice, no source.
const leastWindow = 30 * time.Second

// ShowWindows lists when both ends see a bird at once: "/with KO24", "/with
// KO24 BIRD".
func (p Answerer) ShowWindows(rest string) {
	word, bird, _ := strings.Cut(rest, " ")
	bird = strings.TrimSpace(bird)
	if word == "" {
		p.Say(say.WithHow)
		return
	}
	grid, err := tx.GridIn(word)
	if err != nil {
		p.Say(err.Error())
		return
	}
	if _, known := p.Sky.Bird(bird); !known {
		second, _, _ := strings.Cut(bird, " ")
		if _, err := tx.GridIn(second); err == nil {
			p.Say(say.OneGrid)
			return
		}
	}
	if !p.KnownBird(bird) {
		return
	}
	all, errs := p.windows(grid, bird)
	p.Say(say.Windows(grid, all, say.Refusals(shown.Refused(errs)), PlanDays))
}

// windows are the common windows with a grid in the days planned, of the bird
// named or of all.
func (p Answerer) windows(grid parse.Grid, bird string) (all []say.Window, errs []error) {
	now := p.Now()
	until := now.Add(PlanDays * tx.Day)
	for _, b := range p.Sky.Birds() {
		if named, _ := p.Sky.Bird(bird); bird != "" && named.Catalog != b.Catalog {
			continue
		}
		e, _ := p.Sky.Elements(b.Catalog)
		from, to := sky.Trusted(e, now, until)
		table, err := p.Sky.Ephemeris(b.Catalog, from, to)
		if err != nil {
			if bird != "" || p.Sky.Follows(p.Op.Remind, b) {
				errs = append(errs, err)
			}
			continue
		}
		for _, w := range predict.Windows(table, sky.Site(p.Op.Place), sky.GridSite(grid), from, to, 0) {
			if w.End.Sub(w.Start) >= leastWindow {
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
	switch {
	case strings.EqualFold(rest, "none"):
		p.Op.Wanted = nil
		p.Say(say.NoneWanted)
		return
	case rest != "":
		grids, left, err := tx.GridsAmong(rest)
		if err != nil {
			p.Say(err.Error())
			return
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
			return
		}
		p.Op.Wanted = squares
	case len(p.Op.Wanted) == 0:
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
		if view, ok := p.PassView(pass); ok && p.listed(pass) {
			passes = append(passes, view)
		}
	}
	p.Say(say.Wanted(p.Op.Wanted, passes))
}

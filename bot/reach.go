package bot

import (
	"slices"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// readLines reads the lines of a message. Where one of them names a bird, the
// grids of those after it belong to another pass than the message's own: then
// reading does without the footprint, and compose looks at each contact. What a
// message made when it read otherwise says nothing about it.
func (p *plan) readLines(text string, f filing, edited int64) []parse.Line {
	known := p.known(f, edited)
	lines := parse.Read(text, known)
	if known.Reachable != nil && slices.ContainsFunc(lines, func(l parse.Line) bool { return l.Bird != "" }) {
		known.Reachable = nil
		return parse.Read(text, known)
	}
	return lines
}

// reachable says which grids the bird could serve on the pass of a filing; nil
// if that is not known. One that it could not is no grid that was worked.
func (p *plan) reachable(f filing) func(parse.Grid) bool {
	if f.pass.ID == "" {
		return nil
	}
	// Clocks differ, and overs cross AOS and LOS.
	table, err := p.sky.Ephemeris(f.pass.Bird.Catalog, f.pass.AOS.Add(-clockSlack), f.pass.LOS.Add(clockSlack))
	if err != nil {
		return nil
	}
	pass := predict.Pass{
		Catalog: f.pass.Bird.Catalog, TCA: f.pass.TCA,
		AOS: f.pass.AOS.Add(-clockSlack), LOS: f.pass.LOS.Add(clockSlack),
	}
	told := map[parse.Grid]bool{} // the same squares come again and again
	return func(g parse.Grid) bool {
		g = g.Square()
		reached, known := told[g]
		if !known {
			const halfLat, halfLon = 0.5, 1.0 // degrees of a square
			lat, lon := g.Center()
			reached = table.Reaches(pass, lat-halfLat, lon-halfLon, lat+halfLat, lon+halfLon)
			told[g] = reached
		}
		return reached
	}
}

// beyond turns a contact that is otherwise certain into a question if a grid
// lies where its pass never came.
func (p *plan) beyond(c storage.Contact, f filing) storage.Contact {
	reachable := p.reachable(f)
	if c.Why != "" || reachable == nil || !slices.ContainsFunc(c.Grids, func(g parse.Grid) bool { return !reachable(g) }) {
		return c
	}
	c.Why = string(parse.BadGrid)
	c.Candidates = []storage.Candidate{{Call: c.Call, Grids: c.Grids}}
	return c
}

// movedUnder looks again whether the bird could serve a contact's grids, now that it
// stands under another pass than before: a doubt of that kind is put anew.
func (p *plan) movedUnder(c storage.Contact, f filing, before storage.PassID) storage.Contact {
	if f.pass.ID == before {
		return c
	}
	if c.Why == string(parse.BadGrid) && len(c.Candidates) == 1 && offered(c) {
		c.Why, c.Candidates = "", nil
	}
	return p.beyond(c, f)
}

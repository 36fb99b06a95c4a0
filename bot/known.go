package bot

import (
	"slices"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// known is what reading a line can lean on, but for what came of one message.
func (p *plan) known(f filing, but int64) parse.Known {
	k := parse.Known{
		Own: p.op.Call, OwnGrids: p.op.Place.Grids, Birds: p.sky.Names(),
		Linear: f.bird.Name != "" && f.bird.Main().Kind == predict.Linear,
		Worked: p.gridsOf, Confirmed: p.confirmed, Suffix: p.endingIn, Expected: p.expected(f), Reachable: p.reachable(f),
	}
	for _, c := range p.peersUnder(f, p.ev.At) {
		if (but == 0 || c.Message != but) && c.Call.IsValid() && c.State != storage.Dropped && c.State != storage.Doubtful {
			k.Heard = append(k.Heard, parse.Station{Call: c.Call, Grids: c.Grids})
		}
	}
	return k
}

// worked returns the earlier contacts with a station that belong in a log.
func (p *plan) worked(call parse.Callsign) []storage.Contact {
	all := list(p, func() ([]storage.Contact, error) { return p.view.ContactsOfCall(p.op.ID, call) })
	return only(all, remembered)
}

// confirmed reports whether a call, however unusual, stands in the log already.
func (p *plan) confirmed(call parse.Callsign) bool { return len(p.worked(call)) > 0 }

// gridsOf returns the grids that a station gave before.
func (p *plan) gridsOf(call parse.Callsign) []parse.Grid {
	var grids []parse.Grid
	for _, c := range p.worked(call) {
		for _, g := range c.Grids {
			if !slices.Contains(grids, g) {
				grids = append(grids, g)
			}
		}
	}
	return grids
}

package parse

import "slices"

// addSuffix adds the end of a call heard on this pass, or scheduled for it.
func (l *lattice) addSuffix(i int) {
	t := &l.words[i]
	if t.means != 0 || t.spells.trust != unspelled || t.shape&hasLetter == 0 || len(t.s) < 2 || len(t.s) > 5 {
		return
	}
	a := arc{from: int16(i), to: int16(i + 1), kind: partCall}
	a.append(t.s, false)
	if n := len(t.s) - 2; n > 2 && digitsAt(t.s, n) == 2 && letterShape(t.s[:n]) == hasLetter && len(l.known.ending(upper(t.s[:n]))) > 0 {
		a.kind, a.split, a.doubt = partBoth, uint8(n), eitherWay // "cde32"
		l.add(a)
		return
	}
	instead := l.isWord(i-2, negates) && len(l.known.ending(upper(l.words[i-1].s))) > 0 // "not abc, abd"
	if isLetter(a.buf[a.n-1]) && (instead || len(l.known.ending(string(a.buf[:a.n]))) > 0) {
		l.add(a)
	}
}

// ending returns the stations of this pass whose base ends in s, each once with
// all the grids that it gave.
func (k *Known) ending(s string) (found []Station) {
	for _, list := range [...][]Station{k.Heard, k.Expected} {
		for _, st := range list {
			base := st.Call.Base()
			if len(base) <= len(s) || base[len(base)-len(s):] != s {
				continue
			}
			if i := slices.IndexFunc(found, func(f Station) bool { return f.Call == st.Call }); i >= 0 {
				found[i].Grids = slices.Concat(found[i].Grids, st.Grids)
			} else {
				found = append(found, st)
			}
		}
	}
	return found
}

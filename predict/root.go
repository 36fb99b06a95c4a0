package predict

import "math"

const (
	rootSeconds = 1e-5 // how closely a root is enclosed
	rootTries   = 60
)

// root finds where f changes sign between a and b, given its values there: the
// secant rule of Illinois (Dowell & Jarratt 1971, BIT 11, 168), which keeps
// the root enclosed, with every eighth step a bisection for functions that
// jump. Without a change of sign it returns the better end.
func root(f func(float64) float64, a, fa, b, fb float64) float64 {
	if (fa < 0) == (fb < 0) {
		if math.Abs(fa) < math.Abs(fb) {
			return a
		}
		return b
	}
	for i := 1; i <= rootTries && fb != 0; i++ {
		c := b - fb*(b-a)/(fb-fa)
		if i%8 == 0 {
			c = (a + b) / 2
		}
		fc := f(c)
		done := math.Abs(c-b) < rootSeconds
		if (fc < 0) != (fb < 0) {
			a, fa = b, fb
		} else {
			fa /= 2
		}
		if b, fb = c, fc; done {
			break
		}
	}
	return b
}

// turning is where f turns between a and b.
func turning(f func(float64) float64, a, b float64) float64 {
	slope := func(t float64) float64 { return f(t+1) - f(t-1) }
	return root(slope, a, slope(a), b, slope(b))
}

// greatest is where f is greatest between lo and hi, and how great. Within a step
// f may turn once.
func greatest(f func(float64) float64, lo, hi, step float64) (at, top float64) {
	at, top = lo, f(lo)
	for t := lo; t < hi; t += step {
		next := math.Min(t+step, hi)
		for _, t := range [2]float64{turning(f, t, next), next} {
			if v := f(t); v > top {
				at, top = t, v
			}
		}
	}
	return at, top
}

// crossings visits, in order, where f changes sign between lo and hi. Between
// samples step apart f may turn once.
func crossings(f func(float64) float64, lo, hi, step float64, visit func(t float64, rising bool)) {
	slope := func(t float64) float64 { return f(t+1) - f(t-1) }
	a, fa, sa := lo, f(lo), slope(lo)
	pair := func(b, fb float64) {
		if (fa < 0) != (fb < 0) {
			visit(root(f, a, fa, b, fb), fb >= 0)
		}
		a, fa = b, fb
	}
	for a < hi {
		b := math.Min(a+step, hi)
		fb, sb := f(b), slope(b)
		if (sa < 0) != (sb < 0) && (fa < 0) == (fb < 0) {
			turn := root(slope, a, sa, b, sb)
			pair(turn, f(turn))
		}
		pair(b, fb)
		sa = sb
	}
}

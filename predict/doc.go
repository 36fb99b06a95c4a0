// Package predict turns the sky into numbers: elements in; positions, passes,
// tuning, sunlight and common windows out. It is pure: moments are arguments,
// tables are immutable, nothing here waits, remembers or asks for the time.
//
// From the bottom up:
//
//   - ReadElements reads mean elements from two-line sets and from orbit
//     mean-elements messages in all their forms, and checks every field,
//     because the propagator ends the process on a bad one.
//   - model.go wraps the propagator. It keeps the epoch, which the library cuts
//     to a second, feeds it whole seconds from the exact epoch, and refuses
//     what it gets wrong, each with a Reason.
//   - earth.go is the ground: WGS 84 sites, sidereal time, look angles.
//   - An Ephemeris is a table of one satellite's states over the turning Earth.
//     Making it costs about 0.4 µs a state, a look from it a tenth of a
//     microsecond: the expensive part is per bird, the cheap part per site.
//   - Passes, Windows, Steps, Sunlit, Clear bracket what they look for between
//     nodes or samples and close in with a root finder.
//   - A Bird says what a satellite does; ReadBirds reads a list of them.
//
// # Conventions
//
// Angles are in degrees at the edges and in radians inside; azimuths are true,
// elevations geometric, without refraction. Distances are in km, frequencies in
// MHz, offsets in kHz, shifts in Hz. Times are UTC; UT1 is taken as UTC.
//
// # How good it is
//
// Near the Earth the states match the verification set of AIAA 2006-6753 to
// its last printed digit (0.01 mm), in deep space to 2 m; between the nodes the
// table stays within 0.4 m. Against tables made by independent programs, AOS
// and LOS are within 1 ms, which is how far those tables are rounded. None of
// that makes elements better than they are: those are about 1 km off at their
// epoch, see Elements.Drift, so whole seconds and degrees are what to print.
package predict

// Package layout places tuner posts on a headstock: from a spec (strings, nut,
// posts, outline, tuner, stack) to a plan (posts, checks, holes), and from the
// marks on the wood back to how far they are from the plan.
//
// Axes, in the plane of the headstock face, seen from the front:
//
//	          y (to the tip)
//	          ^
//	 bass     |     treble
//	 side     |     side
//	          |
//	----------+----------> x
//	    fretboard end, on the centre line
//
// Origin: the centre line at the fretboard end (not at the nut's far edge).
// Angles are positive counter-clockwise in this view; a turn of +1 degree
// moves the tip towards the bass side. String 1 is the lowest bass string.
// A "row" is the posts on one side, counted from the fretboard end outward.
//
// Lengths are millimetres in float64 and their fields end in MM (JSON and TOML
// keys in _mm); angles are degrees where the name ends in Deg, else radians.
// Inches exist only in units.go and in the spec key gauges_in.
//
// The package is pure and a leaf: values in, values out; no files, no clock,
// no randomness, no state, nothing of this module imported. Errors mean input
// that cannot be worked with (*SpecError) or a row that cannot be placed within
// its hard limits (*InfeasibleError); an imperfect plan is still a plan and
// carries its Findings.
//
// Sources: the distance from a point to line, circle and parabola, the rigid
// and similarity fits about the centroids and the SVG 2 arc conversion
// (appendix B.2.4) are textbook forms, tested against published or closed-form
// values. Path data is read by the grammar of SVG 2, chapter 9.3. Default limits are common practice without a source and are settings.
package layout

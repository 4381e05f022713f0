package main

// Three headstocks of plain geometric shape: lines and arcs of our own. All
// lengths are mm in the plane of the face, y to the tip.
var demoSpecs = map[string]string{
	"four-two.toml": `# four bass posts, two treble posts, on a tapered outline
strings = 6

[nut]
outer_span_mm = 35.0
spacing = "equal-centres"

[posts]
diameter_mm = 4.0
first_mm = 50.0
pitch_mm = 26.0
bass = 4
treble = 2
mirror = true

[edge]
min_mm = 11.0
max_mm = 16.0
target_mm = 13.5
pitch_min_mm = 23.0
pitch_tol_mm = 1.0
edge_tol_mm = 0.75

[outline]
path = "M -21.5 0 L -34 30 L -12 152 L 8 160 L 23 118 L 36 32 L 21.5 0 Z"
`,
	"six-in-line.toml": `# six posts in one row
strings = 6

[nut]
outer_span_mm = 35.0
spacing = "equal-centres"

[posts]
diameter_mm = 4.0
first_mm = 42.0
pitch_mm = 25.0
bass = 6
treble = 0

[edge]
min_mm = 11.0
max_mm = 16.0
target_mm = 13.0
pitch_min_mm = 23.0
pitch_tol_mm = 1.0
edge_tol_mm = 0.75

[outline]
path = "M -21.5 0 L -36.5 26 L 5 177 L 27 186 L 40 160 L 32 60 L 21.5 0 Z"
`,
	"three-three.toml": `# three posts a side on a plain flared head
strings = 6

[nut]
outer_span_mm = 35.0
spacing = "equal-centres"

[posts]
diameter_mm = 4.0
first_mm = 45.0
pitch_mm = 27.0
bass = 3
treble = 3
mirror = true

[edge]
min_mm = 11.0
max_mm = 18.0
target_mm = 13.0
pitch_min_mm = 23.0
pitch_tol_mm = 1.0
edge_tol_mm = 0.75

[outline]
path = "M -21.5 0 L -35 24 L -17 124 L 0 134 L 17 124 L 35 24 L 21.5 0 Z"
`,
}

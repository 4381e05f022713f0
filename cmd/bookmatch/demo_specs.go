package main

// What the three headstocks share: six strings at the nut, and one make of
// hardware and veneer.
const (
	demoNut = `strings = 6

[nut]
outer_span_mm = 35.0
spacing = "equal-centres"

[posts]
diameter_mm = 5.2
`
	demoHardware = `[tuner]
flange_mm = 14.0
body_width_mm = 14.0
body_in_mm = 5.5
body_out_mm = 10.5
shaft_mm = 21.0
button_mm = 17.0
clamp_least_mm = 11.0
clamp_most_mm = 16.0

[stack]
core_mm = 12.9
face_veneers_mm = [0.6]
back_veneers_mm = [1.3]
sanding_mm = 0.3

`
)

// Three headstocks of plain geometric shape: lines and arcs of our own. All
// lengths are mm in the plane of the face, y to the tip.
var demoSpecs = map[string]string{
	"four-two.toml": `# four bass posts, two treble posts, on a tapered outline
` + demoNut + `first_mm = 47.0
pitch_mm = 25.0
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

` + demoHardware + `[outline]
path = "M -21.5 0 L -39.1 27 L 0.7 163.3 L 18 163 L 17.2 102 L 39.1 27 L 21.5 0 Z"
`,
	"six-in-line.toml": `# six posts in one row
` + demoNut + `first_mm = 42.0
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

` + demoHardware + `[outline]
path = "M -21.5 0 L -38.9 22 L 8.7 185 L 31 185 L 35 60 L 21.5 0 Z"
`,
	"three-three.toml": `# three posts a side, the rows staggered
` + demoNut + `first_mm = 45.0
pitch_mm = 27.0
bass = 3
treble = 3
treble_first_mm = 58.5 # staggered: the inner holes would meet

[edge]
min_mm = 11.0
max_mm = 18.0
target_mm = 13.0
pitch_min_mm = 23.0
pitch_tol_mm = 1.0
edge_tol_mm = 0.75

` + demoHardware + `[outline]
path = "M -21.5 0 L -38.6 24 L -10.2 130 L 0 142 L 10.2 143.5 L 38.6 37.5 L 21.5 0 Z"
`,
}

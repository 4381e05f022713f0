package reporttest

// Template is the spec of a headstock with six posts and hidden parts, invented
// for the tests.
const Template = `strings = 6
shape = "own design"
[nut]
outer_span_mm = 35.0
slot_height_mm = 12.0
[posts]
diameter_mm = 5.0
first_mm = 47.0
pitch_mm = 25.0
bass = 4
treble = 2
mirror = true
[edge]
min_mm = 12.0
max_mm = 15.0
target_mm = 13.5
pitch_min_mm = 23.0
[outline]
path = "M -22 0 L -39.9 27 L -7.44 138.3 C -5 146 2 151 10 149 C 18 147 22 143 22 135 L 25.32 77 L 39.9 27 L 22 0 Z"
[tuner]
flange_mm = 14.0
body_width_mm = 15.0
body_in_mm = 8.0
body_out_mm = 11.0
shaft_mm = 19.0
button_mm = 16.0
button_length_mm = 10.0
screws_mm = [[0.0, -7.0]]
pilot_mm = 1.5
pilot_depth_mm = 8.0
[[tuner.bore]]
diameter_mm = 8.5
[[tuner.bore]]
diameter_mm = 10.0
depth_mm = 6.0
[[keepout]]
name = "rod pocket"
box_mm = [-8.0, 0.0, 8.0, 26.0]
`

package main

// specExample is a small spec that solves in every mode; the help shows it.
const specExample = `strings = 6
shape = "own design"      # or "licensed", "asked"
[nut]
outer_span_mm = 35.0      # centres of the outer strings
gauges_in = [0.046, 0.036, 0.026, 0.017, 0.013, 0.010]
thickness_mm = 5.0
[posts]
bass = 6                  # on the bass side; treble = how many there
diameter_mm = 6.0         # where the string winds
first_mm = 42.0           # first post from the fretboard end
pitch_mm = 25.0           # post to post
[edge]                    # post centre to the nearest edge
min_mm = 11.0
target_mm = 13.0
max_mm = 16.0
[outline]                 # x 0 on the centre line, y 0 at the
                          # fretboard end, y to the tip, in mm
path = "M -21.5 0 L -38.9 22 L 8.7 185 L 31 185 L 35 60 L 21.5 0 Z"
# or file = "head.svg", or stations = [[y, left x, right x], ...]
[tuner]
flange_mm = 14.0
clamp_least_mm = 11.0     # what the tuners clamp
clamp_most_mm = 16.0
[[tuner.bore]]            # steps of the hole; no depth: it goes through
diameter_mm = 10.0
from = "face"
[stack]
core_mm = 12.9
face_veneers_mm = [0.6]
back_veneers_mm = [1.3]
`

// specHelp says how a spec is written. Its lines are short enough that the
// help prints them as they are.
const specHelp = "A spec is a TOML file. Lengths are millimetres; take them from the parts\nin your hand and their makers' drawings, not from here. Gauges are from\nthe lowest string up. A key that is not known is named with the nearest\nthat is; what is not given is not checked, and the plan says so.\n\n" + specExample

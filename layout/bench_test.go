package layout

import (
	"fmt"
	"testing"
)

// twelve is a 6+6 head whose sides are curves all the way.
const twelve = `strings = 12
[nut]
outer_span_mm = 44
[posts]
diameter_mm = 5
first_mm = 40
pitch_mm = 24
bass = 6
treble = 6
mirror = true
[edge]
min_mm = 10
max_mm = 18
target_mm = 13.5
pitch_min_mm = 20
[outline]
path = "M -24 0 C -30 12 -40 22 -41 36 S -40 70 -35 100 S -30 140 -22 180 C -14 190 14 190 22 180 C 30 140 30 130 35 100 S 42 50 41 36 S 30 12 24 0 Z"
`

// inline12 has all twelve on one side, the longest row there is.
const inline12 = `strings = 12
[nut]
outer_span_mm = 60
[posts]
diameter_mm = 5
first_mm = 40
pitch_mm = 24
bass = 12
[edge]
target_mm = 13.5
[outline]
path = "M -44 0 L -50 28 C -44 60 -38 75 -33.5 100 S -20 155 -10.5 198 S 10 270 14 305 C 20 325 40 330 50 320 L 60 300 L 44 0 Z"
`

// Solve stays under 20 ms for 12 strings in any mode; the bare limit stands
// beside it in the same run.
func BenchmarkSolve12(b *testing.B) {
	for name, text := range map[string]string{"6+6": twelve, "12+0": inline12} {
		s := mustRead(b, text)
		for _, m := range Modes() {
			b.Run(fmt.Sprintf("%s/%s", name, m), func(b *testing.B) {
				for b.Loop() {
					if _, err := Solve(s, m); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(20e6, "limit-ns/op")
			})
		}
	}
}

// Compare stays under 100 ms.
func BenchmarkCompare12(b *testing.B) {
	for name, text := range map[string]string{"6+6": twelve, "12+0": inline12} {
		s := mustRead(b, text)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := Compare(s); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(100e6, "limit-ns/op")
		})
	}
}

func BenchmarkEdgeDistance(b *testing.B) {
	s := mustRead(b, twelve)
	o, err := s.BuildOutline()
	if err != nil {
		b.Fatal(err)
	}
	t := s.rows()[0].Tracks[2]
	for b.Loop() {
		o.signed(t.at(83))
	}
}

package reports

import (
	"fmt"
	"math"
	"strings"
)

// StepState is how far a step has come, as the progress strip shows it.
type StepState int

// The states, in the order of work.
const (
	StepToDo StepState = iota
	StepReady
	StepRunning
	StepCuring
	StepBlocked
	StepDone
)

var stepMarks = map[StepState]string{StepToDo: ".", StepReady: ">", StepRunning: "+", StepCuring: "~", StepBlocked: "!", StepDone: "#"}

var stepWords = map[StepState]string{StepToDo: "to come", StepReady: "ready", StepRunning: "started", StepCuring: "curing", StepBlocked: "waits", StepDone: "done"}

// StripStep is one step of a progress strip; Weight is its share of the strip,
// such as its likely minutes. Zero weighs as one.
type StripStep struct {
	Name   string
	State  StepState
	Weight float64
}

// Strip is the progress of a neck: every step a stretch as long as its work.
type Strip struct {
	Title string
	Steps []StripStep
	// Share is the part of the work that is done, from 0 to 1. Zero takes it from
	// the weights.
	Share float64
	// Legend adds a line that says what the marks mean.
	Legend bool
}

// DoneShare is the part of the strip that is done, from 0 to 1.
func (s Strip) DoneShare() float64 {
	if s.Share > 0 {
		return s.Share
	}
	done, all := 0.0, 0.0
	for _, st := range s.Steps {
		all += weight(st)
		if st.State == StepDone {
			done += weight(st)
		}
	}
	if all == 0 {
		return 0
	}
	return done / all
}

func weight(s StripStep) float64 {
	if !(s.Weight > 0) || math.IsInf(s.Weight, 0) {
		return 1
	}
	return s.Weight
}

// Text draws the strip in plain characters with how many steps are done, and from
// 80 columns on their share of the time. Every step keeps one mark at least, if
// the width allows.
func (s Strip) Text(width int) string {
	if len(s.Steps) == 0 {
		return "no step yet"
	}
	done := 0
	for _, x := range s.Steps {
		if x.State == StepDone || x.State == StepCuring {
			done++
		}
	}
	share := fmt.Sprintf("  %d of %d steps", done, len(s.Steps))
	if width >= 80 {
		share += ", " + ShareText(s.DoneShare()) + " of the time"
	}
	room := max(8, width-2-len([]rune(share)))
	var b strings.Builder
	b.WriteByte('[')
	for i, n := range spread(s.Steps, room) {
		b.WriteString(strings.Repeat(stepMarks[s.Steps[i].State], n))
	}
	b.WriteString("]" + share)
	if !s.Legend {
		return b.String()
	}
	var words []string
	for _, st := range []StepState{StepDone, StepRunning, StepCuring, StepReady, StepBlocked, StepToDo} {
		for _, x := range s.Steps {
			if x.State == st {
				words = append(words, stepMarks[st]+" "+stepWords[st])
				break
			}
		}
	}
	b.WriteString("\n " + strings.Join(words, "   "))
	return b.String()
}

// spread shares room cells out by weight, one each at least where that fits.
func spread(steps []StripStep, room int) []int {
	all := 0.0
	for _, s := range steps {
		all += weight(s)
	}
	out := make([]int, len(steps))
	least := 0
	if room >= len(steps) {
		least = 1
	}
	free := float64(room - least*len(steps))
	at, used := 0.0, 0
	for i, s := range steps {
		at += weight(s) / all * free
		n := int(math.Round(at)) - used
		used += n
		out[i] = least + n
	}
	return out
}

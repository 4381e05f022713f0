package workshop

import (
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
)

// applyGraph gives an operation the fields that a plan heeds: place, pause,
// gates, caution.
func (x OperationFields) applyGraph(o jobs.Operation) (jobs.Operation, error) {
	var err error
	if x.Place != nil {
		if o.Place, err = jobs.ParsePlace(*x.Place); err != nil {
			return o, err
		}
	}
	if x.Resume != nil {
		if o.Resumable, o.PauseH, err = parsePause(*x.Resume); err != nil {
			return o, err
		}
		if o.Resumable && o.NoStop && x.NoStop == nil {
			o.NoStop = false
		}
	}
	if o.Resumable && o.NoStop {
		return o, &jobs.FieldError{Field: "resume", Value: "with no-stop", Want: "one of both, such as -"}
	}
	for _, g := range x.Gate {
		gone, away := strings.CutPrefix(g, "-")
		gate, err := jobs.ParseGate(gone)
		if err != nil {
			return o, err
		}
		o.Gates = slices.DeleteFunc(slices.Clone(o.Gates), func(h jobs.Gate) bool { return h == gate })
		if !away {
			o.Gates = append(o.Gates, gate)
		}
	}
	if x.Caution != nil {
		o.Cautions = nil
		if c := strings.TrimSpace(*x.Caution); c != "" && c != "-" {
			o.Cautions = []string{c}
		}
	}
	return o, nil
}

// parsePause reads how long a step may be left midway: any, 30d, 12h or - for
// not at all.
func parsePause(text string) (may bool, hours float64, err error) {
	switch t := strings.TrimSpace(text); t {
	case "any":
		return true, 0, nil
	case "-", "":
		return false, 0, nil
	default:
		number, unit := t[:len(t)-1], t[len(t)-1]
		n, err := strconv.ParseFloat(number, 64)
		if err != nil || !(n > 0 && n <= 8760) || unit != 'd' && unit != 'h' {
			return false, 0, &jobs.FieldError{Field: "resume", Value: text, Want: "any, days, hours or -, such as 30d"}
		}
		if unit == 'd' {
			n *= 24
		}
		return true, n, nil
	}
}

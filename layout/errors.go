package layout

import (
	"fmt"
	"strings"
)

// SpecError is one value of a spec (or of a list of marks) that cannot be
// used: the key as the builder wrote it, the value found, what is wanted.
type SpecError struct {
	Key   string
	Value string
	Want  string
	Line  int // of the spec, 0 where it is not known
}

func (e *SpecError) Error() string {
	line := ""
	if e.Line > 0 {
		line = fmt.Sprintf("line %d, ", e.Line)
	}
	if e.Value == "" {
		return fmt.Sprintf("%s%s: %s", line, e.Key, e.Want)
	}
	return fmt.Sprintf("%s%s = %s: %s", line, e.Key, e.Value, e.Want)
}

// SpecErrors is every value of a spec that cannot be used.
type SpecErrors []*SpecError

func (e SpecErrors) Error() string {
	lines := make([]string, len(e))
	for i, x := range e {
		lines[i] = x.Error()
	}
	return strings.Join(lines, ". ")
}

// Unwrap gives them one by one.
func (e SpecErrors) Unwrap() []error {
	out := make([]error, len(e))
	for i, x := range e {
		out[i] = x
	}
	return out
}

func specErr(key string, value any, want string, args ...any) *SpecError {
	text := ""
	switch v := value.(type) {
	case nil:
	case float64:
		text = trimMM(v)
	case string:
		text = fmt.Sprintf("%q", clip(v, 40))
	default:
		text = clip(fmt.Sprint(v), 40)
	}
	return &SpecError{Key: key, Value: text, Want: fmt.Sprintf(want, args...)}
}

// clip shortens text for a message; control characters become spaces.
func clip(s string, n int) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
	runes := []rune(s)
	if len(runes) <= n {
		return s
	}
	return string(runes[:n]) + "..."
}

// Relaxation is one limit of the spec changed just enough for a row to fit.
type Relaxation struct {
	Key   string  `json:"key"`
	NowMM float64 `json:"now_mm"`
	ToMM  float64 `json:"to_mm"`
}

func (r Relaxation) String() string {
	return fmt.Sprintf("%s from %s to %s", r.Key, trimMM(r.NowMM), trimMM(r.ToMM))
}

// InfeasibleError says that a row cannot be placed: the first post that finds
// no place, the limit that stops it, and the smallest single changes that
// would let the whole row through (smallest first; none when no single change
// of a limit is enough).
type InfeasibleError struct {
	Side   string
	Post   int // counted from the fretboard end, 1 is the first
	String int
	Limit  string // key of the limit
	Why    string
	Relax  []Relaxation
}

func (e *InfeasibleError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s post %d (string %d) has no place: %s", e.Side, e.Post, e.String, e.Why)
	if len(e.Relax) > 0 {
		fmt.Fprintf(&b, "; the smallest change that works: %s", e.Relax[0])
		for _, r := range e.Relax[1:] {
			fmt.Fprintf(&b, ", or %s", r)
		}
	}
	return b.String()
}

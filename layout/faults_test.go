package layout

import (
	"errors"
	"strings"
	"testing"
)

// Every fault of a spec is named at once, each with its line.
func TestAllFaultsWithTheirLines(t *testing.T) {
	text := strings.NewReplacer("outer_span_mm = 35.0", "outer_span_mm = -1", "pitch_mm = 25.0", "pitch_mm = 0.2", "min_mm = 12.0", "min_mm = 19.0").Replace(mustSpec) + "\n[tuner]\nflange_mm = -3\n"
	_, err := ReadSpec([]byte(text), nil)
	var all SpecErrors
	if !errors.As(err, &all) {
		t.Fatalf("%v", err)
	}
	lines := strings.Split(text, "\n")
	want := []string{"nut.outer_span_mm", "posts.pitch_mm", "edge.min_mm", "tuner.flange_mm"}
	if len(all) != len(want) {
		t.Fatalf("%v", err)
	}
	for i, e := range all {
		name := e.Key[strings.LastIndex(e.Key, ".")+1:]
		if e.Key != want[i] || e.Line < 1 || !strings.HasPrefix(lines[e.Line-1], name+" =") {
			t.Errorf("fault %d is %s on line %d", i+1, e.Key, e.Line)
		}
	}
	_, err = ReadSpec([]byte(mustSpec+"\n[tunr]\nx = 1\n[stak]\ny = 1\n"), nil)
	if !errors.As(err, &all) || len(all) != 2 || !strings.Contains(err.Error(), "tuner") || !strings.Contains(err.Error(), "stack") {
		t.Errorf("two unknown keys: %v", err)
	}
	if e := soundSpec().Validate(); e != nil {
		t.Errorf("the spec to stand on: %v", e)
	}
}

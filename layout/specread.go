package layout

import (
	"errors"
	"fmt"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// maxSpecBytes bounds a spec and a drawing: both are small texts.
const maxSpecBytes = 1 << 20

// ReadSpec reads a TOML spec, fills the defaults and validates. open returns
// the content of outline.file and may be nil when files are not allowed. The
// error is a *SpecError that names the key, the value and the line, or several as
// SpecErrors; an unknown key is refused with the nearest key there is.
func ReadSpec(data []byte, open func(name string) ([]byte, error)) (Spec, error) {
	var s Spec
	if len(data) > maxSpecBytes {
		return Spec{}, specErr("spec", nil, "at most %d bytes", maxSpecBytes)
	}
	text := cleanText(string(data))
	dec := toml.NewDecoder(strings.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&s); err != nil {
		return Spec{}, tomlError(err)
	}
	if s.Outline.File != "" {
		if open == nil {
			return Spec{}, specErr("outline.file", s.Outline.File, "files cannot be read here; give outline.path or outline.stations")
		}
		svg, err := open(s.Outline.File)
		if err != nil {
			return Spec{}, specErr("outline.file", s.Outline.File, "cannot be read: %s", clip(err.Error(), 120))
		}
		if len(svg) > maxSpecBytes {
			return Spec{}, specErr("outline.file", s.Outline.File, "at most %d bytes", maxSpecBytes)
		}
		s.Outline.SVG = string(svg)
	}
	s = s.withDefaults()
	if err := s.faults(text); err != nil {
		return Spec{}, err
	}
	return s, nil
}

// byteOrderMark is what some programs write at the start of a UTF-8 file.
const byteOrderMark = "\ufeff"

// cleanText takes off a byte-order mark and makes every line end a line feed.
func cleanText(s string) string {
	return strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.TrimPrefix(s, byteOrderMark))
}

// tomlError turns the library's errors into one line with key and place.
func tomlError(err error) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		var all SpecErrors
		for _, e := range strict.Errors[:min(len(strict.Errors), maxFaults)] {
			key := strings.Join(e.Key(), ".")
			row, _ := e.Position()
			all = append(all, &SpecError{Key: clip(key, 60), Line: row, Want: "unknown key; the nearest is " + nearest(key, specKeys())})
		}
		return all.one()
	}
	var dec *toml.DecodeError
	if errors.As(err, &dec) {
		row, col := dec.Position()
		key := strings.Join(dec.Key(), ".")
		if key == "" {
			key = "spec"
		}
		text := strings.TrimPrefix(dec.Error(), "toml: ")
		if strings.Contains(text, "cannot decode") { // the rest of it speaks of this program's types
			text = "the value is not of the kind that belongs here (a number, \"words in quotes\", a [list] or true/false)"
		}
		return &SpecError{Key: clip(key, 60), Want: fmt.Sprintf("line %d, column %d: %s", row, col, clip(text, 120))}
	}
	return &SpecError{Key: "spec", Want: clip(strings.TrimPrefix(err.Error(), "toml: "), 160)}
}

// specKeys lists every key a spec may have, in the order of the struct.
func specKeys() []string { return keysOf(reflect.TypeFor[Spec](), "") }

func keysOf(t reflect.Type, prefix string) []string {
	for t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return nil
	}
	var keys []string
	for i := range t.NumField() {
		tag := t.Field(i).Tag.Get("toml")
		if tag == "" || tag == "-" {
			continue
		}
		keys = append(keys, prefix+tag)
		keys = append(keys, keysOf(t.Field(i).Type, prefix+tag+".")...)
	}
	return keys
}

// nearest is the candidate with the fewest edits to key; the first wins ties.
func nearest(key string, candidates []string) string {
	best, bestEdits := "", 1<<30
	for _, c := range candidates {
		if d := edits(strings.ToLower(clip(key, 60)), c); d < bestEdits {
			best, bestEdits = c, d
		}
	}
	return best
}

// edits is the Levenshtein distance.
func edits(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diag := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diag
			if a[i] != b[j] {
				cost = 1 + min(diag, row[j], row[j+1])
			}
			diag, row[j+1] = row[j+1], cost
		}
	}
	return row[len(b)]
}

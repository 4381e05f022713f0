package layout

import (
	"fmt"
	"reflect"
	"strconv"
)

// Change is one key of a spec that differs between two specs.
type Change struct {
	Key      string `json:"key"`
	Was, Now string `json:"-"`
}

func (c Change) String() string { return fmt.Sprintf("%s %s, now %s", c.Key, c.Was, c.Now) }

// Changes lists the keys that differ, in the order of the spec. The title and
// the name of the outline's file are no inputs; its content is.
func Changes(was, now Spec) []Change {
	was, now = was.withDefaults(), now.withDefaults()
	was.Title, now.Title, was.Outline.File, now.Outline.File = "", "", "", ""
	var out []Change
	if was.Outline.SVG != now.Outline.SVG {
		out = append(out, Change{"outline.file", "drawn one way", "another"})
	}
	diff(reflect.ValueOf(was), reflect.ValueOf(now), "", &out)
	return out
}

func diff(a, b reflect.Value, key string, out *[]Change) {
	if a.Kind() == reflect.Struct {
		for i := range a.NumField() {
			tag := a.Type().Field(i).Tag.Get("toml")
			if tag == "-" {
				continue
			}
			name := tag
			if key != "" {
				name = key + "." + tag
			}
			diff(a.Field(i), b.Field(i), name, out)
		}
		return
	}
	if a.Kind() == reflect.Slice && a.Len() == b.Len() && a.Len() > 0 && a.Index(0).Kind() != reflect.Uint8 {
		for i := range a.Len() {
			diff(a.Index(i), b.Index(i), key+"["+strconv.Itoa(i+1)+"]", out)
		}
		return
	}
	was, now := fmt.Sprint(a.Interface()), fmt.Sprint(b.Interface())
	if was != now {
		if a.Kind() == reflect.Slice {
			was, now = strconv.Itoa(a.Len())+" entries", strconv.Itoa(b.Len())
			if a.Len() == b.Len() {
				return
			}
		}
		*out = append(*out, Change{key, clip(orNone(was), 30), clip(orNone(now), 30)})
	}
}

func orNone(s string) string {
	if s == "" {
		return "not given"
	}
	return s
}

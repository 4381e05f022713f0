package reports

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"

	"bookmatch/jobs/workshop"
	"bookmatch/layout"
)

// builders are the keys of what a builder writes in his own words. Other fields that
// hold them are tagged own:"words".
var builders = map[string]bool{"title": true, "name": true, "neck_title": true, "customer": true, "note": true, "supplier": true, "label": true, "photo": true, "was": true, "now": true}

// OwnWords gives the builder's own words of a result that speak of a length, the
// longest first.
func OwnWords(r workshop.Result) []string {
	found := map[string]bool{}
	ownWords(reflect.ValueOf(r), false, found)
	var out []string
	for w := range found {
		if whole := lengths.FindString(w); whole != "" && whole != w {
			out = append(out, w)
		}
	}
	slices.SortFunc(out, func(a, b string) int { return len(b) - len(a) })
	return out
}

func ownWords(v reflect.Value, own bool, found map[string]bool) {
	if v.IsValid() && v.Type() == reflect.TypeFor[json.RawMessage]() { // what was asked
		var asked any
		if json.Unmarshal(v.Bytes(), &asked) == nil {
			ownWords(reflect.ValueOf(asked), true, found)
		}
		return
	}
	switch v.Kind() {
	case reflect.String:
		if own {
			found[v.String()] = true
		}
	case reflect.Struct:
		if x, ok := v.Interface().(interface{ OwnWords() []string }); ok {
			ownWords(reflect.ValueOf(x.OwnWords()), true, found)
		}
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				key, _, _ := strings.Cut(f.Tag.Get("json"), ",")
				ownWords(v.Field(i), own || builders[key] || f.Tag.Get("own") != "", found)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			ownWords(v.Index(i), own, found)
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			ownWords(v.MapIndex(k), own, found)
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			ownWords(v.Elem(), own, found)
		}
	}
}

// planTexts gives the texts of a result's plan in inches.
func planTexts(r workshop.Result) layout.Inches {
	v := reflect.ValueOf(r).Elem().FieldByName("Inches")
	if v.IsValid() {
		if x, ok := v.Interface().(layout.Inches); ok {
			return x
		}
	}
	return nil
}

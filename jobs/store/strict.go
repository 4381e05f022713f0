package store

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"time"
)

// encoding/json forgives what an import must not: an unknown member is skipped,
// one that comes twice overwrites the first, names match in either case. strict
// walks a document next to the type it is meant for and refuses those, and says
// where.

const maxDepth = 64

// formError is what is wrong at one place of a document.
type formError struct {
	path   string // JSON path below the document: .necks[0].count
	offset int64  // bytes into it
	what   string
}

func (e *formError) Error() string { return e.path + ": " + e.what }

var (
	jsonReader = reflect.TypeFor[json.Unmarshaler]()
	textReader = reflect.TypeFor[encoding.TextUnmarshaler]()
	rawMessage = reflect.TypeFor[json.RawMessage]()
)

// strictForm compares a document with a type. Values that types read
// themselves are only asked to be there; their own reader refuses them.
func strictForm(raw []byte, t reflect.Type) error {
	w := &formWalk{dec: json.NewDecoder(bytes.NewReader(raw))}
	w.dec.UseNumber()
	return w.value(t, "", 0)
}

type formWalk struct{ dec *json.Decoder }

func (w *formWalk) bad(path, format string, args ...any) error {
	return &formError{path, w.dec.InputOffset(), fmt.Sprintf(format, args...)}
}

// value reads one value. A nil type is any JSON.
func (w *formWalk) value(t reflect.Type, path string, depth int) error {
	if depth > maxDepth {
		return w.bad(path, "more than %d levels deep", maxDepth)
	}
	tok, err := w.dec.Token()
	if err != nil {
		return w.bad(path, "%v", err)
	}
	for t != nil && t.Kind() == reflect.Pointer && !readsItself(t) {
		t = t.Elem()
	}
	if t != nil && (readsItself(t) || t == rawMessage) {
		t = nil
	}
	switch tok {
	case json.Delim('{'):
		return w.object(t, path, depth)
	case json.Delim('['):
		var elem reflect.Type
		if t != nil && (t.Kind() == reflect.Slice || t.Kind() == reflect.Array) {
			elem = t.Elem()
		}
		for i := 0; w.dec.More(); i++ {
			if err := w.value(elem, fmt.Sprintf("%s[%d]", path, i), depth+1); err != nil {
				return err
			}
		}
		_, err = w.dec.Token()
		return err
	}
	return nil
}

func (w *formWalk) object(t reflect.Type, path string, depth int) error {
	var fields map[string]reflect.Type
	var elem reflect.Type
	switch {
	case t == nil:
	case t.Kind() == reflect.Struct:
		fields = members(t)
	case t.Kind() == reflect.Map:
		elem = t.Elem()
	}
	seen := map[string]bool{}
	for w.dec.More() {
		tok, err := w.dec.Token()
		if err != nil {
			return w.bad(path, "%v", err)
		}
		name, _ := tok.(string)
		at := path + "." + name
		if seen[name] {
			return w.bad(at, "comes twice")
		}
		seen[name] = true
		inner := elem
		if fields != nil {
			var known bool
			if inner, known = fields[name]; !known {
				return w.bad(at, "is not known to this program")
			}
		}
		if err := w.value(inner, at, depth+1); err != nil {
			return err
		}
	}
	_, err := w.dec.Token()
	return err
}

// readsItself says that a type has its own form in JSON.
func readsItself(t reflect.Type) bool {
	p := reflect.PointerTo(t)
	return p.Implements(jsonReader) || p.Implements(textReader)
}

// members gives the JSON members of a struct by name, those of embedded
// structs included.
func members(t reflect.Type) map[string]reflect.Type {
	out := map[string]reflect.Type{}
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-":
		case f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct:
			for n, ft := range members(f.Type) {
				out[n] = ft
			}
		case !f.IsExported():
		case name == "":
			out[f.Name] = f.Type
		default:
			out[name] = f.Type
		}
	}
	return out
}

// writable finds an instant that could be read but never written again: RFC 3339
// has four digits for a year and less than a day for the offset of a zone.
func writable(v reflect.Value) error {
	if t, ok := v.Interface().(time.Time); ok {
		if _, err := t.MarshalJSON(); err != nil || t.Year() > 9000 {
			return fmt.Errorf("%v is no instant that a workshop can have seen", t)
		}
		return nil
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if !v.Type().Field(i).IsExported() {
				continue
			}
			if err := writable(v.Field(i)); err != nil {
				return err
			}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return writable(v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			if err := writable(v.Index(i)); err != nil {
				return err
			}
		}
	}
	return nil
}

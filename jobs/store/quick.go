package store

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"sync"
)

// Reading a long log is decoding: nine tenths of what a verdict on a bit or an
// estimate takes at twenty years' size. The documents are the store's own, so
// they are read here in one pass by a plan made once from the type, and
// encoding/json is asked only about what is out of the ordinary: an escape in a
// string, a name in another case, a member twice, a null where none is expected,
// anything malformed. Where the quick way answers at all it answers as
// encoding/json does; a fuzz test holds the two together.

// decode reads a document of the store into a zero value.
func decode(raw []byte, v any) error {
	rv := reflect.ValueOf(v).Elem()
	d := quick{b: raw}
	if p := planOf(rv.Type()); p.set != nil && p.set(&d, rv) && d.atEnd() {
		return nil
	}
	rv.SetZero()
	return json.Unmarshal(raw, v)
}

// plan is how a type is read. set fills a zero value of it and is false when
// encoding/json has to be asked; a nil set always asks.
type plan struct {
	set func(*quick, reflect.Value) bool
}

var plans sync.Map // reflect.Type -> *plan

func planOf(t reflect.Type) *plan {
	if p, ok := plans.Load(t); ok {
		return p.(*plan)
	}
	p := &plan{}
	if known, loaded := plans.LoadOrStore(t, p); loaded {
		return known.(*plan)
	}
	p.set = setterOf(t) // a type inside itself finds p, not yet filled, and asks
	return p
}

var byteSlice = reflect.TypeFor[[]byte]()

func setterOf(t reflect.Type) func(*quick, reflect.Value) bool {
	switch ptr := reflect.PointerTo(t); {
	case t == rawMessage:
		return setRaw
	case t.Kind() == reflect.Pointer:
		return setPointer(t)
	case ptr.Implements(jsonReader):
		return setByJSON
	case ptr.Implements(textReader):
		return setByText
	case t == byteSlice:
		return setBytes
	}
	switch t.Kind() {
	case reflect.Struct:
		return setStruct(t)
	case reflect.Slice:
		return setSlice(t)
	case reflect.Map:
		return setMap(t)
	case reflect.String:
		return func(d *quick, v reflect.Value) bool {
			s, ok := d.text()
			if ok {
				v.SetString(string(s))
			}
			return ok
		}
	case reflect.Bool:
		return func(d *quick, v reflect.Value) bool {
			switch {
			case d.word("true"):
				v.SetBool(true)
				return true
			default:
				return d.word("false")
			}
		}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return func(d *quick, v reflect.Value) bool {
			n, ok := d.whole()
			if !ok || v.OverflowInt(n) {
				return false
			}
			v.SetInt(n)
			return true
		}
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return func(d *quick, v reflect.Value) bool {
			n, ok := d.whole()
			if !ok || n < 0 || v.OverflowUint(uint64(n)) {
				return false
			}
			v.SetUint(uint64(n))
			return true
		}
	case reflect.Float64:
		return func(d *quick, v reflect.Value) bool {
			f, ok := d.float()
			if ok {
				v.SetFloat(f)
			}
			return ok
		}
	}
	return nil
}

func setPointer(t reflect.Type) func(*quick, reflect.Value) bool {
	elem := planOf(t.Elem())
	return func(d *quick, v reflect.Value) bool {
		if d.word("null") {
			return true
		}
		if elem.set == nil {
			return false
		}
		v.Set(reflect.New(t.Elem()))
		return elem.set(d, v.Elem())
	}
}

// setRaw copies any value, null included.
func setRaw(d *quick, v reflect.Value) bool {
	raw, ok := d.skip()
	if ok {
		v.SetBytes(bytes.Clone(raw))
	}
	return ok
}

func setByJSON(d *quick, v reflect.Value) bool {
	raw, ok := d.skip()
	if !ok || raw[0] == 'n' {
		return false
	}
	return v.Addr().Interface().(json.Unmarshaler).UnmarshalJSON(raw) == nil
}

func setByText(d *quick, v reflect.Value) bool {
	s, ok := d.text()
	return ok && v.Addr().Interface().(interface{ UnmarshalText([]byte) error }).UnmarshalText(s) == nil
}

func setSlice(t reflect.Type) func(*quick, reflect.Value) bool {
	elem := planOf(t.Elem())
	return func(d *quick, v reflect.Value) bool {
		if d.word("null") {
			return true
		}
		if elem.set == nil || !d.take('[') {
			return false
		}
		v.Set(reflect.MakeSlice(t, 0, 1))
		for n := 0; !d.take(']'); n++ {
			if n > 0 && !d.take(',') {
				return false
			}
			v.Grow(1)
			v.SetLen(n + 1)
			v.Index(n).SetZero()
			if !elem.set(d, v.Index(n)) {
				return false
			}
		}
		return true
	}
}

func setMap(t reflect.Type) func(*quick, reflect.Value) bool {
	if t.Key().Kind() != reflect.String || reflect.PointerTo(t.Key()).Implements(textReader) {
		return nil
	}
	elem := planOf(t.Elem())
	return func(d *quick, v reflect.Value) bool {
		if d.word("null") {
			return true
		}
		if elem.set == nil || !d.take('{') {
			return false
		}
		out := reflect.MakeMap(t)
		for n := 0; !d.take('}'); n++ {
			if n > 0 && !d.take(',') {
				return false
			}
			name, ok := d.text()
			if !ok || !d.take(':') {
				return false
			}
			key, value := reflect.ValueOf(string(name)).Convert(t.Key()), reflect.New(t.Elem()).Elem()
			if out.MapIndex(key).IsValid() || !elem.set(d, value) {
				return false
			}
			out.SetMapIndex(key, value)
		}
		v.Set(out)
		return true
	}
}

// setStruct reads the members of a struct; names that belong to embedded
// structs lead into them.
func setStruct(t reflect.Type) func(*quick, reflect.Value) bool {
	type member struct {
		path []int
		plan *plan
		bit  uint64
	}
	fields := map[string]member{}
	var add func(t reflect.Type, path []int) bool
	add = func(t reflect.Type, path []int) bool {
		for i := range t.NumField() {
			f := t.Field(i)
			name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
			at := append(append([]int{}, path...), i)
			switch {
			case name == "-" && options == "":
			case f.Anonymous && name == "":
				if f.Type.Kind() != reflect.Struct || !add(f.Type, at) {
					return false
				}
			case !f.IsExported():
			default:
				if name == "" {
					name = f.Name
				}
				if _, twice := fields[name]; twice || len(fields) == 64 || strings.Contains(options, "string") {
					return false
				}
				fields[name] = member{at, planOf(f.Type), 1 << len(fields)}
			}
		}
		return true
	}
	if !add(t, nil) {
		return nil
	}
	return func(d *quick, v reflect.Value) bool {
		if !d.take('{') {
			return false
		}
		var seen uint64
		for n := 0; !d.take('}'); n++ {
			if n > 0 && !d.take(',') {
				return false
			}
			name, ok := d.text()
			if !ok {
				return false
			}
			m, known := fields[string(name)]
			if !known || seen&m.bit != 0 || m.plan.set == nil || !d.take(':') {
				return false
			}
			seen |= m.bit
			var field reflect.Value
			if len(m.path) == 1 {
				field = v.Field(m.path[0])
			} else {
				field = v.FieldByIndex(m.path)
			}
			if !m.plan.set(d, field) {
				return false
			}
		}
		return true
	}
}

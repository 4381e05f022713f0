package store

import (
	"bytes"
	"encoding/base64"
	"reflect"
	"strconv"
	"unicode/utf8"
)

// quick walks over a JSON document (RFC 8259). Its methods are false at
// anything they do not read; the caller then gives up as a whole.
type quick struct {
	b     []byte
	i     int
	depth int
}

func (d *quick) space() {
	for d.i < len(d.b) && (d.b[d.i] == ' ' || d.b[d.i] == '\n' || d.b[d.i] == '\t' || d.b[d.i] == '\r') {
		d.i++
	}
}

func (d *quick) atEnd() bool { d.space(); return d.i == len(d.b) }

// take steps over one character.
func (d *quick) take(c byte) bool {
	d.space()
	if d.i < len(d.b) && d.b[d.i] == c {
		d.i++
		return true
	}
	return false
}

// word steps over true, false or null.
func (d *quick) word(w string) bool {
	d.space()
	if len(d.b)-d.i >= len(w) && string(d.b[d.i:d.i+len(w)]) == w {
		d.i += len(w)
		return true
	}
	return false
}

// text reads a string without escapes; it points into the document.
func (d *quick) text() ([]byte, bool) {
	if !d.take('"') {
		return nil, false
	}
	end := bytes.IndexByte(d.b[d.i:], '"')
	if end < 0 {
		return nil, false
	}
	s := d.b[d.i : d.i+end]
	ascii := true
	for _, c := range s {
		if c == '\\' || c < 0x20 {
			return nil, false
		}
		ascii = ascii && c < utf8.RuneSelf
	}
	if !ascii && !utf8.Valid(s) {
		return nil, false
	}
	d.i += end + 1
	return s, true
}

// number gives the text of a number, and whether it is a whole one.
func (d *quick) number() (s []byte, whole, ok bool) {
	d.space()
	from := d.i
	digits := func() bool {
		at := d.i
		for d.i < len(d.b) && d.b[d.i] >= '0' && d.b[d.i] <= '9' {
			d.i++
		}
		return d.i > at
	}
	if d.i < len(d.b) && d.b[d.i] == '-' {
		d.i++
	}
	first := d.i
	if !digits() || d.b[first] == '0' && d.i > first+1 {
		return nil, false, false
	}
	whole = true
	if d.i < len(d.b) && d.b[d.i] == '.' {
		d.i++
		if whole = false; !digits() {
			return nil, false, false
		}
	}
	if d.i < len(d.b) && (d.b[d.i] == 'e' || d.b[d.i] == 'E') {
		d.i++
		if d.i < len(d.b) && (d.b[d.i] == '+' || d.b[d.i] == '-') {
			d.i++
		}
		if whole = false; !digits() {
			return nil, false, false
		}
	}
	return d.b[from:d.i], whole, true
}

func (d *quick) whole() (int64, bool) {
	s, whole, ok := d.number()
	if !ok || !whole {
		return 0, false
	}
	n, err := strconv.ParseInt(string(s), 10, 64)
	return n, err == nil
}

func (d *quick) float() (float64, bool) {
	s, _, ok := d.number()
	if !ok {
		return 0, false
	}
	f, err := strconv.ParseFloat(string(s), 64)
	return f, err == nil
}

// skip steps over any value and gives its text.
func (d *quick) skip() ([]byte, bool) {
	d.space()
	from := d.i
	if d.i >= len(d.b) || d.depth > maxDepth {
		return nil, false
	}
	d.depth++
	defer func() { d.depth-- }()
	ok := false
	switch c := d.b[d.i]; {
	case c == '"':
		if _, ok = d.text(); !ok {
			ok = d.escaped()
		}
	case c == 't':
		ok = d.word("true")
	case c == 'f':
		ok = d.word("false")
	case c == 'n':
		ok = d.word("null")
	case c == '[':
		d.i++
		ok = d.skipAll(']', false)
	case c == '{':
		d.i++
		ok = d.skipAll('}', true)
	default:
		_, _, ok = d.number()
	}
	return d.b[from:d.i], ok
}

// escaped steps over a string that may have escapes, after its quote. Bytes
// that are not UTF-8 are passed, as encoding/json passes them in raw text.
func (d *quick) escaped() bool {
	for d.i < len(d.b) {
		c := d.b[d.i]
		d.i++
		switch {
		case c == '"':
			return true
		case c < 0x20:
			return false
		case c != '\\':
		case d.i >= len(d.b):
			return false
		case d.b[d.i] == 'u':
			for n := range 4 {
				if at := d.i + 1 + n; at >= len(d.b) || !bytes.ContainsRune([]byte("0123456789abcdefABCDEF"), rune(d.b[at])) {
					return false
				}
			}
			d.i += 5
		case bytes.IndexByte([]byte(`"\/bfnrt`), d.b[d.i]) < 0:
			return false
		default:
			d.i++
		}
	}
	return false
}

func (d *quick) skipAll(end byte, names bool) bool {
	for n := 0; !d.take(end); n++ {
		if n > 0 && !d.take(',') {
			return false
		}
		if names {
			if _, ok := d.text(); !ok || !d.take(':') {
				return false
			}
		}
		if _, ok := d.skip(); !ok {
			return false
		}
	}
	return true
}

// setBytes reads base64, as encoding/json writes []byte.
func setBytes(d *quick, v reflect.Value) bool {
	s, ok := d.text()
	if !ok {
		return false
	}
	out := make([]byte, base64.StdEncoding.DecodedLen(len(s)))
	n, err := base64.StdEncoding.Decode(out, s)
	if err == nil {
		v.SetBytes(out[:n])
	}
	return err == nil
}

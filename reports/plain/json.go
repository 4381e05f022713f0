package plain

import (
	"fmt"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// EscapeJSON gives the same JSON document with every character that Clean would
// not let pass (controls beyond ASCII, marks that turn the writing direction,
// unseen ones, broken UTF-8) as a \u escape. Such characters can only are
// inside strings; whoever reads the document gets the same values.
func EscapeJSON(doc []byte) []byte {
	plain := true
	for _, b := range doc {
		if b >= 0x7f {
			plain = false
			break
		}
	}
	if plain {
		return doc
	}
	out := make([]byte, 0, len(doc)+64)
	for len(doc) > 0 {
		r, n := utf8.DecodeRune(doc)
		switch {
		case r == utf8.RuneError && n <= 1:
			out = append(out, `\ufffd`...)
		case r < 0x7f || !hidden(r) && r != '\u2028' && r != '\u2029':
			out = append(out, doc[:n]...)
		case r > 0xffff:
			a, b := utf16.EncodeRune(r)
			out = fmt.Appendf(out, `\u%04x\u%04x`, a, b)
		default:
			out = fmt.Appendf(out, `\u%04x`, r)
		}
		doc = doc[n:]
	}
	return out
}

// JSONWriter passes JSON on as EscapeJSON gives it. Each Write must end between
// characters, as an Encoder's does.
type JSONWriter struct{ To io.Writer }

// Write escapes p and passes it on.
func (w JSONWriter) Write(p []byte) (int, error) {
	if _, err := w.To.Write(EscapeJSON(p)); err != nil {
		return 0, err
	}
	return len(p), nil
}

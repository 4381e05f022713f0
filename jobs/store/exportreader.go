package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
)

var changeType = reflect.TypeFor[Change]()

// documentFault is where in the document something is wrong.
type documentFault struct {
	path   string
	offset int64
	what   string
}

func (e *documentFault) Error() string { return e.path + ": " + e.what }

// exportReader reads an export piece by piece with a limit on each.
type exportReader struct {
	dec   *json.Decoder
	src   *limited
	start int64  // of the element at hand
	last  []byte // key of the record before
}

// limited ends with an error when one element wants more bytes than it may
// have.
type limited struct {
	r        io.Reader
	n, until int64
}

var errTooLong = errors.New("is longer than a record may be")

func (l *limited) Read(p []byte) (int, error) {
	if l.n >= l.until {
		return 0, errTooLong
	}
	n, err := l.r.Read(p)
	l.n += int64(n)
	return n, err
}

func newExportReader(r io.Reader) *exportReader {
	src := &limited{r: r, until: maxRecord}
	return &exportReader{dec: json.NewDecoder(src), src: src}
}

func (d *exportReader) bad(path, format string, args ...any) error {
	return &documentFault{path, d.start, fmt.Sprintf(format, args...)}
}

// inside says what is wrong in the element at hand, with the place inside it
// where that is known.
func (d *exportReader) inside(at string, err error) error {
	var form *formError
	var typ *json.UnmarshalTypeError
	switch {
	case errors.As(err, &form):
		return &documentFault{at + form.path, d.start + form.offset, form.what}
	case errors.As(err, &typ):
		where := at
		if typ.Field != "" {
			where += "." + typ.Field
		}
		return &documentFault{where, d.start + typ.Offset, "cannot be a " + typ.Value}
	}
	return &documentFault{at, d.start, strings.ReplaceAll(err.Error(), "\n", "; ")}
}

func (d *exportReader) token(path string) (json.Token, error) {
	d.src.until = d.dec.InputOffset() + maxRecord
	tok, err := d.dec.Token()
	d.start = d.dec.InputOffset()
	if errors.Is(err, io.EOF) {
		return nil, d.bad(path, "the document ends too early")
	}
	if err != nil {
		return nil, d.bad(path, "%v", err)
	}
	return tok, nil
}

func (d *exportReader) delim(want json.Delim, path string) error {
	tok, err := d.token(path)
	if err != nil {
		return err
	}
	if tok != want {
		if name, ok := tok.(string); ok && want == '}' {
			return d.bad(path+"."+clip(name), "is not known to this program")
		}
		return d.bad(path, "%s is missing here", want)
	}
	return nil
}

// member reads the name of the next member, which must be the one wanted.
func (d *exportReader) member(want, path string) error {
	tok, err := d.token(path)
	if err != nil {
		return err
	}
	if tok != want {
		if name, ok := tok.(string); ok {
			return d.bad(path+"."+clip(name), "is where %q belongs", want)
		}
		return d.bad(path, "%q is missing", want)
	}
	return nil
}

func clip(s string) string {
	if len(s) > 80 {
		s = strings.ToValidUTF8(s[:80], "") + "..."
	}
	return s
}

// element reads one whole value and gives it without its spaces.
func (d *exportReader) element(path string, limit int64) ([]byte, error) {
	d.start = d.dec.InputOffset()
	d.src.until = d.start + limit
	var raw json.RawMessage
	if err := d.dec.Decode(&raw); err != nil {
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			d.start = d.dec.InputOffset()
			// The decoder's own offset leaves out what was read as tokens.
			if rest, err := io.ReadAll(d.dec.Buffered()); err == nil && errors.As(json.Unmarshal(rest, &raw), &syntax) {
				d.start += syntax.Offset
			}
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return nil, d.bad(path, "the document ends too early")
		}
		return nil, d.bad(path, "%v", err)
	}
	d.start = d.dec.InputOffset() - int64(len(raw))
	if bytes.IndexByte(raw, '\n') < 0 && !bytes.ContainsAny(raw, " \t\r") {
		return raw, nil
	}
	var out bytes.Buffer
	if err := json.Compact(&out, raw); err != nil {
		return nil, d.bad(path, "%v", err)
	}
	return out.Bytes(), nil
}

// list reads an array element by element.
func (d *exportReader) list(path string, limit int64, each func(raw []byte, at string) error) error {
	if err := d.delim('[', path); err != nil {
		return err
	}
	d.last = nil
	for i := 0; d.dec.More(); i++ {
		at := fmt.Sprintf("%s[%d]", path, i)
		raw, err := d.element(at, limit)
		if err != nil {
			return err
		}
		if err := each(raw, at); err != nil {
			return err
		}
	}
	return d.delim(']', path)
}

// end refuses what follows the document.
func (d *exportReader) end() error {
	if err := d.delim('}', "$"); err != nil {
		return err
	}
	d.src.until = d.dec.InputOffset() + maxRecord
	if tok, err := d.dec.Token(); !errors.Is(err, io.EOF) {
		return d.bad("$", "is followed by %v", tok)
	}
	return nil
}

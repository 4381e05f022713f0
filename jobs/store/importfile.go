package store

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"bookmatch/jobs"
)

// Limits of an import, in bytes; what is written keeps to them. A record is a page
// of a builder's log, not a library; a change of the journal may hold all that a
// list brought in at once.
const (
	maxDocument = 2 << 30
	maxRecord   = 16 << 20
	maxChange   = 128 << 20
)

// DocumentError says where an export cannot be read, and why. It answers
// errors.Is(err, jobs.ErrInvalid).
type DocumentError struct {
	File string
	Line int    // from 1
	Path string // JSON path: $.records.entries[3].necks[0].count
	What string
}

func (e *DocumentError) Error() string {
	return fmt.Sprintf("%s, line %d, %s: %s", e.File, e.Line, e.Path, e.What)
}

// Hint says what happened to the records.
func (e *DocumentError) Hint() string { return "nothing was imported" }

// Is answers to jobs.ErrInvalid.
func (e *DocumentError) Is(target error) bool { return target == jobs.ErrInvalid }

// StageImport builds a workshop file next to path from an export: a plain file, or
// where from is "-" what in gives. Anything in the document that this program does
// not understand is a *DocumentError, and nothing is left.
func StageImport(path, from string, in io.Reader) (*Staged, error) {
	if err := noLink(path); err != nil {
		return nil, err
	}
	src, err := importSource(path, from, in, maxDocument)
	if err != nil {
		return nil, err
	}
	defer src.Close()
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	sweep(path)
	temp, err := passing(filepath.Dir(path), filepath.Base(path), "importing")
	if err != nil {
		return nil, err
	}
	g := &Staged{path, temp.Name()}
	err = errors.Join(temp.Close(), buildFrom(g.temp, src))
	var doc *documentFault
	if errors.As(err, &doc) {
		err = &DocumentError{from, lineOf(src, doc.offset), doc.path, doc.what}
	}
	if err != nil {
		g.Discard()
		return nil, noRoom(err)
	}
	return g, nil
}

// importSource opens what is to be read, which must end within a limit. What
// comes through a pipe goes into a file without a name first, so that a line can
// be counted in it.
func importSource(path, from string, in io.Reader, limit int64) (*os.File, error) {
	tooMuch := &jobs.FieldError{Field: "file", Value: from, Want: fmt.Sprintf("an export of at most %d MB", limit>>20)}
	if from == "-" && in != nil {
		f, err := nameless(os.TempDir(), filepath.Base(path))
		if err != nil {
			return nil, noRoom(err)
		}
		n, err := io.Copy(f, io.LimitReader(in, limit+1))
		if err == nil && n > limit {
			err = tooMuch
		}
		if err == nil {
			_, err = f.Seek(0, io.SeekStart)
		}
		if err != nil {
			return nil, noRoom(errors.Join(err, f.Close()))
		}
		return f, nil
	}
	info, err := os.Stat(from) // before opening: a pipe would wait for a writer
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, &jobs.FieldError{Field: "file", Value: from, Want: "a plain file, or - for what is sent on"}
	case info.Size() > limit:
		return nil, tooMuch
	}
	return os.Open(from)
}

// lineOf counts the lines up to an offset.
func lineOf(f io.ReadSeeker, offset int64) int {
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return 0
	}
	r := bufio.NewReaderSize(io.LimitReader(f, offset), 1<<16)
	line := 1
	for {
		chunk, err := r.ReadSlice('\n')
		if len(chunk) > 0 && chunk[len(chunk)-1] == '\n' {
			line++
		}
		if err != nil && !errors.Is(err, bufio.ErrBufferFull) {
			return line
		}
	}
}

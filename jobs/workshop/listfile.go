package workshop

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"bookmatch/jobs"
)

// Limits of a list. A builder's whole life fits; a file made to burst does not.
const (
	maxListBytes = 64 << 20
	maxListRows  = 100_000
	maxListCols  = 200
	maxCell      = 4096
)

// list is a table as it was read: a head row and rows with their numbers.
type list struct {
	head     []string
	rows     []listRow
	sheet    bool // dates and times of day may be a spreadsheet's numbers
	from1904 bool
}

type listRow struct {
	no    int
	cells []string
}

// Loader reads what an Ask names: a file up to a limit in bytes, and the rows of a
// workbook, in the order they are, with what its dates count from.
type Loader struct {
	File  func(path string, limit int64) ([]byte, error)
	Sheet func(raw []byte, sheet string, row func(no int, cells []string) error) (from1904 bool, err error)
}

// readList reads a list by the end of its name: .xlsx, else CSV.
func (l Loader) readList(path, sheet string) (*list, error) {
	raw, err := l.File(path, maxListBytes)
	if err != nil {
		return nil, err
	}
	if strings.EqualFold(filepath.Ext(path), ".xlsx") {
		return l.readSheet(raw, path, sheet)
	}
	if sheet != "" {
		return nil, &jobs.FieldError{Field: "sheet", Value: sheet, Want: "a file that ends in .xlsx"}
	}
	return readCSV(raw, path)
}

// readCSV reads RFC 4180 text in UTF-8; comma, semicolon or tab is found in
// the head row.
func readCSV(raw []byte, path string) (*list, error) {
	raw = bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf"))
	if !utf8.Valid(raw) {
		line := 1
		for rest := raw; len(rest) > 0; {
			r, n := utf8.DecodeRune(rest)
			if r == utf8.RuneError && n == 1 {
				break
			}
			if r == '\n' {
				line++
			}
			rest = rest[n:]
		}
		return nil, &jobs.FieldError{Field: "file", Value: path, Want: fmt.Sprintf("UTF-8 text; line %d is not", line)}
	}
	first, _, _ := bytes.Cut(raw, []byte("\n"))
	r := csv.NewReader(bytes.NewReader(raw))
	r.FieldsPerRecord, r.ReuseRecord = -1, true
	for _, sep := range []rune{';', '\t'} {
		if bytes.Count(first, []byte(string(sep))) > bytes.Count(first, []byte(string(r.Comma))) {
			r.Comma = sep
		}
	}
	l := &list{}
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return l, l.checkHead(path)
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			return nil, &jobs.FieldError{Field: "file", Value: path, Want: fmt.Sprintf("a list; line %d: %v", bad.Line, bad.Err)}
		}
		if err != nil {
			return nil, err
		}
		line, _ := r.FieldPos(0)
		if err := l.add(path, line, cells); err != nil {
			return nil, err
		}
	}
}

// readSheet reads the values of a workbook as they are kept, not as they are
// shown.
func (l Loader) readSheet(raw []byte, path, sheet string) (*list, error) {
	out := &list{sheet: true}
	var err error
	out.from1904, err = l.Sheet(raw, sheet, func(no int, cells []string) error { return out.add(path, no, cells) })
	if err != nil {
		return nil, err
	}
	return out, out.checkHead(path)
}

// add takes a row; the first that is not empty is the head.
func (l *list) add(path string, no int, cells []string) error {
	empty := true
	kept := make([]string, len(cells))
	for i, c := range cells {
		kept[i] = strings.TrimSpace(c)
		empty = empty && kept[i] == ""
		if len(kept[i]) > maxCell {
			return &jobs.FieldError{Field: "file", Value: path, Want: fmt.Sprintf("cells of at most %d characters; row %d has a longer one", maxCell, no)}
		}
	}
	switch {
	case empty:
	case len(kept) > maxListCols:
		return &jobs.FieldError{Field: "file", Value: path, Want: fmt.Sprintf("at most %d columns; row %d has %d", maxListCols, no, len(kept))}
	case l.head == nil:
		l.head = kept
	case len(l.rows) == maxListRows:
		return &jobs.FieldError{Field: "file", Value: path, Want: fmt.Sprintf("at most %d rows", maxListRows)}
	default:
		l.rows = append(l.rows, listRow{no, kept})
	}
	return nil
}

func (l *list) checkHead(path string) error {
	if len(l.head) == 0 {
		return &jobs.FieldError{Field: "file", Value: path, Want: "a head row with the names of the columns"}
	}
	return nil
}

// rowsBy gives the rows by field, with presets where a cell is empty.
func (l *list) rowsBy(fields map[int]string, preset map[string]string, as string) []BringRow {
	timed := map[string]bool{}
	for _, f := range BringFields(as) {
		timed[f.Name] = f.Time
	}
	out := make([]BringRow, 0, len(l.rows))
	for _, r := range l.rows {
		cells := map[string]string{}
		for field, v := range preset {
			cells[field] = v
		}
		for i, v := range r.cells {
			field, used := fields[i]
			if !used || v == "" {
				continue
			}
			if l.sheet && timed[field] {
				var day string
				if day, v = l.sheetTime(v, field == "from" || field == "to"); day != "" && cells["date"] == "" {
					cells["date"] = day
				}
			}
			cells[field] = v
		}
		out = append(out, BringRow{No: r.no, Cells: cells})
	}
	return out
}

// sheetTime turns a spreadsheet's number into a date, or into a time of day
// when it is less than one; where a clock is wanted, a number with both gives
// the day apart. Days count from 1899-12-30, or from 1904-01-01 in workbooks
// that say so (ECMA-376 part 1, 18.17.4.1).
func (l *list) sheetTime(v string, clock bool) (day, text string) {
	f, err := strconv.ParseFloat(v, 64)
	if err != nil || !(f >= 0 && f < 200_000) {
		return "", v
	}
	whole, part := math.Modf(f)
	epoch := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if l.from1904 {
		epoch = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	at := epoch.AddDate(0, 0, int(whole)).Add(time.Duration(math.Round(part*24*60)) * time.Minute)
	switch {
	case whole == 0:
		return "", at.Format("15:04")
	case clock:
		return at.Format(time.DateOnly), at.Format("15:04")
	}
	return "", at.Format(time.DateOnly)
}

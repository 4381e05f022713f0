package workbook

import (
	"bytes"
	"fmt"

	"bookmatch/jobs"

	"github.com/xuri/excelize/v2"
)

// unpackMost is the most that a workbook may hold unpacked, in bytes: a file made
// to burst does not.
const unpackMost = 256 << 20

// UnreadableError says that a file is no workbook that can be read; Row is 0 when
// no row is to blame.
type UnreadableError struct {
	Row int
	Why string
}

func (e *UnreadableError) Error() string {
	if e.Row > 0 {
		return fmt.Sprintf("row %d: %s", e.Row, e.Why)
	}
	return e.Why
}

// Read gives the rows of a sheet one after another, from 1, with the values as
// they are kept and not as they are shown: a date is a number of days. An empty
// sheet name is the first. from1904 says that days count from 1904-01-01 and not
// from 1899-12-30. Errors are *UnreadableError, jobs.ErrNotFound for the sheet, and
// what row returns.
func Read(raw []byte, sheet string, row func(no int, cells []string) error) (from1904 bool, err error) {
	defer func() {
		if p := recover(); p != nil { // a workbook made to break its reader
			err = &UnreadableError{Why: fmt.Sprint(p)}
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(raw), excelize.Options{UnzipSizeLimit: unpackMost, UnzipXMLSizeLimit: unpackMost, RawCellValue: true})
	if err != nil {
		return false, &UnreadableError{Why: err.Error()}
	}
	defer f.Close()
	names := f.GetSheetList()
	if sheet == "" && len(names) > 0 {
		sheet = names[0]
	}
	if i, err := f.GetSheetIndex(sheet); err != nil || i < 0 {
		return false, &jobs.NotFoundError{Noun: "sheet", Value: sheet, Near: jobs.Nearest(sheet, names)}
	}
	if props, err := f.GetWorkbookProps(); err == nil && props.Date1904 != nil {
		from1904 = *props.Date1904
	}
	rows, err := f.Rows(sheet)
	if err != nil {
		return from1904, err
	}
	defer rows.Close()
	for no := 1; rows.Next(); no++ {
		cells, err := rows.Columns()
		if err != nil {
			return from1904, &UnreadableError{Row: no, Why: err.Error()}
		}
		if err := row(no, cells); err != nil {
			return from1904, err
		}
	}
	if err := rows.Error(); err != nil {
		return from1904, &UnreadableError{Why: err.Error()}
	}
	return from1904, nil
}

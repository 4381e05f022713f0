package screen

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/reports"
	"bookmatch/reports/plain"
)

// CSV writes one table as RFC 4180 asks: comma, CRLF, a header line of column
// keys, quotes where needed and doubled inside. Numbers have a point and no
// unit, dates are ISO 8601, instants RFC 3339 with the zone's offset, what was
// not recorded is empty. The file holds data only: no title, no totals.
//
// A text that begins like a formula (= + - @) gets an apostrophe before it:
// CSV has no types, and a spreadsheet would run it.
func CSV(w io.Writer, r reports.Report, name string) error {
	if err := r.Check(); err != nil {
		return err
	}
	t, err := named(r, name)
	if err != nil {
		return err
	}
	v := r.Format()
	b := bufio.NewWriter(w)
	for i, c := range t.Columns {
		field(b, i, c.Key)
	}
	b.WriteString("\r\n")
	for row := range t.All() {
		if row.Style == reports.Group {
			continue
		}
		for i, c := range t.Columns {
			field(b, i, machine(v, row.At(i), c))
		}
		b.WriteString("\r\n")
	}
	return b.Flush()
}

// named gives the table with that name, or the first for "".
func named(r reports.Report, name string) (*reports.Table, error) {
	tables := r.Tables()
	if name == "" && len(tables) > 0 {
		return tables[0], nil
	}
	if t := r.Table(name); t != nil {
		return t, nil
	}
	return nil, fmt.Errorf("table %q of report %s: %w", name, r.Name, jobs.ErrNotFound)
}

func field(b *bufio.Writer, i int, s string) {
	if i > 0 {
		b.WriteByte(',')
	}
	if !strings.ContainsAny(s, ",\"\r\n") && s == strings.TrimSpace(s) {
		b.WriteString(s)
		return
	}
	b.WriteByte('"')
	b.WriteString(strings.ReplaceAll(s, `"`, `""`))
	b.WriteByte('"')
}

// machine gives a cell for machines: the form of CSV, and of text in JSON.
func machine(v reports.Format, c reports.Cell, col reports.Column) string {
	if c.IsEmpty() {
		return ""
	}
	switch c.Kind() {
	case reports.KindText:
		return guard(plain.Clean(c.Words()))
	case reports.KindFlag:
		if c.Yes() {
			return "true"
		}
		return "false"
	case reports.KindDate:
		return c.Moment().Format(time.DateOnly)
	case reports.KindInstant, reports.KindClock:
		return c.Moment().In(v.Zone).Format(time.RFC3339)
	case reports.KindMoney:
		return c.Decimal().StringFixed(int32(v.Places(c, col)))
	}
	return c.Decimal().String()
}

// guard puts an apostrophe before text that a spreadsheet would run.
func guard(s string) string {
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

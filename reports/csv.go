package reports

import (
	"bufio"
	"io"
	"strings"
	"time"

	"bookmatch/reports/plain"
)

// CSV writes one table as RFC 4180 asks: comma, CRLF, a header line of column
// keys, quotes where needed and doubled inside. Numbers have a point and no
// unit, dates are ISO 8601, instants RFC 3339 with the zone's offset, what was
// not recorded is empty. The file holds data only: no title, no totals.
//
// A text that begins like a formula (= + - @) gets an apostrophe before it:
// CSV has no types, and a spreadsheet would run it.
func CSV(w io.Writer, r Report, name string) error {
	if err := r.Check(); err != nil {
		return err
	}
	t, err := r.named(name)
	if err != nil {
		return err
	}
	v := r.view()
	b := bufio.NewWriter(w)
	for i, c := range t.Columns {
		field(b, i, c.Key)
	}
	b.WriteString("\r\n")
	for row := range t.rows() {
		if row.Style == Group {
			continue
		}
		for i, c := range t.Columns {
			field(b, i, v.plain(row.At(i), c))
		}
		b.WriteString("\r\n")
	}
	return b.Flush()
}

// named gives the table with that name, or the first for "".
func (r Report) named(name string) (*Table, error) {
	if name == "" && len(r.Tables) > 0 {
		return &r.Tables[0], nil
	}
	if t := r.Table(name); t != nil {
		return t, nil
	}
	return nil, errNoTable(r, name)
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

// plain gives a cell for machines: the form of CSV, and of text in JSON.
func (v view) plain(c Cell, col Column) string {
	if !c.has {
		return ""
	}
	switch c.kind {
	case KindText:
		return Guard(plain.Clean(c.text))
	case KindFlag:
		if c.flag {
			return "true"
		}
		return "false"
	case KindDate:
		return c.at.Format(time.DateOnly)
	case KindInstant, KindClock:
		return c.at.In(v.zone).Format(time.RFC3339)
	case KindMoney:
		return c.dec.StringFixed(int32(moneyPlaces(col, v.currency)))
	}
	return c.dec.String()
}

// Guard puts an apostrophe before text that a spreadsheet would run.
func Guard(s string) string {
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

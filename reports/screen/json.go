package screen

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"bookmatch/reports"
	"bookmatch/reports/plain"
)

// JSON writes the whole report: every table as a list of objects whose keys
// are the column keys, in column order, with the sums under "total". Amounts
// are strings next to the top-level "currency", chances and shares fractions,
// times RFC 3339 in UTC, what was not recorded null.
func JSON(w io.Writer, r reports.Report) error {
	if err := r.Check(); err != nil {
		return err
	}
	v := r.Format()
	var b bytes.Buffer
	b.WriteString("{")
	pair(&b, 1, "report", r.Name, false)
	pair(&b, 1, "title", plain.Clean(r.Title), true)
	if r.Subject != "" {
		pair(&b, 1, "subject", plain.Clean(r.Subject), true)
	}
	if r.Currency != "" {
		pair(&b, 1, "currency", string(r.Currency), true)
	}
	pair(&b, 1, "zone", r.Location().String(), true)
	pair(&b, 1, "made", r.Made.UTC().Format(time.RFC3339), true)
	if len(r.Inputs) > 0 {
		open(&b, 1, "inputs", '{')
		for i, in := range r.Inputs {
			pair(&b, 2, in.Name, value(v, in.Value, columnOf(in)), i > 0)
		}
		b.WriteString("\n  }")
	}
	open(&b, 1, "tables", '{')
	for n, t := range r.Tables() {
		if n > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, "\n    %s: {", jsonText(t.Name))
		pair(&b, 3, "title", plain.Clean(t.Title), false)
		open(&b, 3, "rows", '[')
		first := true
		for row := range t.All() {
			if row.Style == reports.Group {
				continue
			}
			if !first {
				b.WriteByte(',')
			}
			first = false
			b.WriteString("\n        ")
			object(v, &b, *t, row, false)
		}
		if first {
			b.WriteString("]")
		} else {
			b.WriteString("\n      ]")
		}
		if len(t.Footer) > 0 {
			open(&b, 3, "footer", '[')
			for i, row := range t.Footer {
				if i > 0 {
					b.WriteByte(',')
				}
				b.WriteString("\n        ")
				object(v, &b, *t, row, true)
			}
			b.WriteString("\n      ]")
		}
		if row, ok := t.Total(r.Currency); ok {
			b.WriteString(",\n      \"total\": ")
			row.Cells = dropText(row.Cells)
			object(v, &b, *t, row, true)
		}
		list(&b, 3, "notes", t.Notes)
		b.WriteString("\n    }")
	}
	b.WriteString("\n  }")
	if len(r.Counted) > 0 {
		open(&b, 1, "counted", '[')
		for i, c := range r.Counted {
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, "\n    {\"what\": %s, \"how\": %s}", jsonText(plain.Clean(c.What)), jsonText(plain.Clean(c.How)))
		}
		b.WriteString("\n  ]")
	}
	b.WriteString("\n}\n")
	_, err := w.Write(b.Bytes())
	return err
}

// object writes one row; skip leaves out what is empty.
func object(v reports.Format, b *bytes.Buffer, t reports.Table, row reports.Row, skip bool) {
	b.WriteByte('{')
	first := true
	for i, c := range t.Columns {
		cell := row.At(i)
		if skip && cell.IsEmpty() {
			continue
		}
		if !first {
			b.WriteString(", ")
		}
		first = false
		fmt.Fprintf(b, "%s: %s", jsonText(c.Key), jsonText(value(v, cell, c)))
	}
	b.WriteByte('}')
}

// value is a cell as encoding/json wants it.
func value(v reports.Format, c reports.Cell, col reports.Column) any {
	switch {
	case c.IsEmpty():
		return nil
	case c.Kind() == reports.KindText:
		return plain.Clean(c.Words())
	case c.Kind() == reports.KindFlag:
		return c.Yes()
	case c.Kind() == reports.KindMoney:
		return machine(v, c, col)
	case c.Kind() == reports.KindInstant, c.Kind() == reports.KindClock:
		return c.Moment().UTC().Format(time.RFC3339)
	case c.Kind() == reports.KindDate:
		return c.Moment().Format(time.DateOnly)
	}
	return json.Number(c.Decimal().String())
}

func columnOf(in reports.Input) reports.Column {
	return reports.Column{Key: in.Name, Header: in.Label, Unit: in.Unit, Kind: in.Value.Kind(), Digits: in.Digits}
}

func dropText(cells []reports.Cell) []reports.Cell {
	out := make([]reports.Cell, len(cells))
	for i, c := range cells {
		if c.Kind() != reports.KindText {
			out[i] = c
		}
	}
	return out
}

func pair(b *bytes.Buffer, depth int, key string, value any, comma bool) {
	if comma {
		b.WriteByte(',')
	}
	fmt.Fprintf(b, "\n%*s%s: %s", 2*depth, "", jsonText(key), jsonText(value))
}

func open(b *bytes.Buffer, depth int, key string, bracket rune) {
	fmt.Fprintf(b, ",\n%*s%s: %c", 2*depth, "", jsonText(key), bracket)
}

func list(b *bytes.Buffer, depth int, key string, items []string) {
	if len(items) == 0 {
		return
	}
	open(b, depth, key, '[')
	for i, s := range items {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(jsonText(plain.Clean(s)))
	}
	b.WriteByte(']')
}

// quote is JSON without the escaping that HTML wants.
func jsonText(v any) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return "null"
	}
	return string(bytes.TrimRight(b.Bytes(), "\n"))
}

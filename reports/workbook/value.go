package workbook

import (
	"time"

	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/shopspring/decimal"
)

// value is a cell as the workbook holds it.
func (o *sheetWriter) value(c reports.Cell, col reports.Column) any {
	switch {
	case c.IsEmpty():
		return nil
	case c.Kind() == reports.KindText:
		return plain.Clean(c.Words())
	case c.Kind() == reports.KindFlag:
		if c.Yes() {
			return "yes"
		}
		return "no"
	case c.Kind() == reports.KindDate:
		return serial(c.Moment())
	case c.Kind() == reports.KindInstant, c.Kind() == reports.KindClock:
		return serial(c.Moment().In(o.v.Zone))
	}
	d, _ := c.Figure(col, o.v.Currency)
	return toFloat(d)
}

// serial is a moment's wall clock as days since 1899-12-30, as ECMA-376 part 1,
// 18.17.4 counts them.
func serial(t time.Time) float64 {
	y, m, d := t.Date()
	h, min, s := t.Clock()
	wall := time.Date(y, m, d, h, min, s, 0, time.UTC)
	return float64(wall.Unix()-epoch) / 86400
}

var epoch = time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Unix()

// toFloat is the nearest float64; the common small numbers take a short way
// that is exact as well (IEEE 754 division is correctly rounded).
func toFloat(d decimal.Decimal) float64 {
	e := d.Exponent()
	if e >= -15 && e <= 0 && d.NumDigits() <= 15 {
		return float64(d.CoefficientInt64()) / pow10[-e]
	}
	return d.InexactFloat64()
}

var pow10 = [16]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

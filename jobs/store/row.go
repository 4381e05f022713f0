package store

import (
	"encoding/binary"
	"errors"
	"math"
	"time"

	"github.com/shopspring/decimal"
)

// An index whose records are read all together keeps, behind the key of the
// record, the record itself as a row: the same fields, packed. What a neck may do
// next asks for its whole log, what it has cost for the whole history of each
// supply; from rows that takes a fifth of the time of looking up and reading each
// document. A row is made whenever its record is written, in the same
// transaction; `data check` makes it anew and compares; what has no row (a
// quantity of more than 18 digits) is read from its document.
//
// A row is a bit set of the fields that are there, then these in order: whole
// numbers as variable-length integers (encoding/binary), floats as IEEE 754,
// texts with their length before them, decimals as coefficient and exponent,
// instants as seconds and nanoseconds with the offset of their zone. A list is
// its length and a row for each of its members.
type rows[T any] struct {
	pack   func(*T) (row []byte, ok bool)
	unpack func(id uint64, row []byte, v *T) error
}

var errRow = errors.New("a row of an index cannot be read; run data check")

// packer writes the fields of one row.
type packer struct {
	set    uint64
	at     uint
	fields []byte
}

// has notes whether the next field is there.
func (p *packer) has(yes bool) bool {
	if yes {
		p.set |= 1 << p.at
	}
	p.at++
	return yes
}

func (p *packer) number(n uint64) {
	if p.has(n != 0) {
		p.fields = binary.AppendUvarint(p.fields, n)
	}
}

func (p *packer) whole(n int) {
	if p.has(n != 0) {
		p.fields = binary.AppendVarint(p.fields, int64(n))
	}
}

func (p *packer) text(s string) {
	if p.has(s != "") {
		p.fields = append(binary.AppendUvarint(p.fields, uint64(len(s))), s...)
	}
}

func (p *packer) instant(t time.Time) {
	if !p.has(!t.IsZero()) {
		return
	}
	_, offset := t.Zone()
	p.fields = binary.AppendVarint(p.fields, t.Unix())
	p.fields = binary.AppendUvarint(p.fields, uint64(t.Nanosecond()))
	p.fields = binary.AppendVarint(p.fields, int64(offset))
}

func (p *packer) float(f float64) {
	if p.has(f != 0) {
		p.fields = binary.BigEndian.AppendUint64(p.fields, math.Float64bits(f))
	}
}

func (p *packer) maybe(t *time.Time) {
	if p.has(t != nil) {
		p.instant(*t)
	} else {
		p.at++
	}
}

// exact writes a decimal; ok is false where it is too long for a row.
func (p *packer) exact(d decimal.Decimal) (ok bool) {
	c := d.Coefficient()
	if !c.IsInt64() {
		return false
	}
	if p.has(c.Sign() != 0 || d.Exponent() != 0) {
		p.fields = binary.AppendVarint(p.fields, c.Int64())
		p.fields = binary.AppendVarint(p.fields, int64(d.Exponent()))
	}
	return true
}

// row gives what was written. More than 64 fields do not fit.
func (p *packer) row() ([]byte, bool) {
	return append(binary.AppendUvarint(make([]byte, 0, len(p.fields)+4), p.set), p.fields...), p.at <= 64
}

// part writes a row inside a row.
func (p *packer) part(q *packer) {
	row, _ := q.row()
	p.fields = append(binary.AppendUvarint(p.fields, uint64(len(row))), row...)
}

// unpacker reads the fields of one row in the order in which they were written.
// The first field that cannot be read makes it fail, once and for all.
type unpacker struct {
	set    uint64
	at     uint
	row    []byte
	texts  string // the whole row: texts are parts of it
	failed bool
}

func newUnpacker(row []byte) *unpacker {
	u := &unpacker{row: row, texts: string(row)}
	u.set = u.uvarint()
	return u
}

func (u *unpacker) has() bool {
	u.at++
	return !u.failed && u.set>>(u.at-1)&1 == 1
}

func (u *unpacker) uvarint() uint64 {
	v, n := binary.Uvarint(u.row)
	if n <= 0 {
		u.failed = true
		return 0
	}
	u.row = u.row[n:]
	return v
}

func (u *unpacker) varint() int64 {
	v, n := binary.Varint(u.row)
	if n <= 0 {
		u.failed = true
		return 0
	}
	u.row = u.row[n:]
	return v
}

func (u *unpacker) number() uint64 {
	if !u.has() {
		return 0
	}
	return u.uvarint()
}

func (u *unpacker) whole() int {
	if !u.has() {
		return 0
	}
	return int(u.varint())
}

func (u *unpacker) text() string {
	if !u.has() {
		return ""
	}
	n := u.uvarint()
	if u.failed || n > uint64(len(u.row)) {
		u.failed = true
		return ""
	}
	from := len(u.texts) - len(u.row)
	u.row = u.row[n:]
	return u.texts[from : from+int(n)]
}

func (u *unpacker) instant() time.Time {
	if !u.has() {
		return time.Time{}
	}
	sec, nano, offset := u.varint(), u.uvarint(), u.varint()
	t := time.Unix(sec, int64(nano)).UTC()
	if offset != 0 {
		t = t.In(time.FixedZone("", int(offset)))
	}
	return t
}

func (u *unpacker) take(n int) []byte {
	if n < 0 || n > len(u.row) {
		u.failed = true
		return nil
	}
	b := u.row[:n]
	u.row = u.row[n:]
	return b
}

func (u *unpacker) float() float64 {
	if !u.has() {
		return 0
	}
	if b := u.take(8); b != nil {
		return math.Float64frombits(binary.BigEndian.Uint64(b))
	}
	return 0
}

func (u *unpacker) maybe() *time.Time {
	if !u.has() {
		u.at++
		return nil
	}
	t := u.instant()
	return &t
}

// count reads how many of something follow, each at least one byte long.
func (u *unpacker) count() int {
	n := u.number()
	if n > uint64(len(u.row)) {
		u.failed = true
		return 0
	}
	return int(n)
}

func (u *unpacker) exact() decimal.Decimal {
	if !u.has() {
		return decimal.Decimal{}
	}
	c, exp := u.varint(), u.varint()
	if exp < math.MinInt16 || exp > math.MaxInt16 {
		u.failed = true
		return decimal.Decimal{}
	}
	return decimal.New(c, int32(exp))
}

func (u *unpacker) part() *unpacker {
	n := u.uvarint()
	if u.failed || n > uint64(len(u.row)) {
		u.failed = true
		return &unpacker{failed: true}
	}
	from := len(u.texts) - len(u.row)
	q := &unpacker{row: u.take(int(n)), texts: u.texts[from : from+int(n)]}
	q.set = q.uvarint()
	return q
}

func (u *unpacker) err() error {
	if u.failed || len(u.row) > 0 {
		return errRow
	}
	return nil
}

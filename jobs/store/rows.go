package store

import (
	"encoding/binary"
	"math"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// The rows of each record that has them: a new field of one goes into both
// functions, at the end. A test fills every field and compares.

// entryRows packs entries.
var entryRows = &rows[jobs.Entry]{
	pack: func(e *jobs.Entry) ([]byte, bool) {
		p := &packer{}
		p.text(e.Operation)
		p.text(string(e.Class))
		p.number(uint64(len(e.Shares)))
		for _, s := range e.Shares {
			q := &packer{}
			q.text(s.Neck)
			q.whole(s.Step)
			q.float(s.Count)
			q.has(s.Done)
			q.has(s.Left)
			p.part(q)
		}
		p.instant(e.From)
		p.maybe(e.To)
		p.number(uint64(len(e.Away)))
		for _, a := range e.Away {
			q := &packer{}
			q.instant(a.From)
			q.maybe(a.To)
			p.part(q)
		}
		p.maybe(e.Go)
		p.whole(int(e.SpentSec))
		p.float(e.SetupPart)
		p.has(e.Assumed)
		p.has(e.Late)
		p.has(e.ClockBack)
		p.text(e.Cause)
		p.text(e.Payer)
		p.text(e.Person)
		if p.has(e.Grade != nil) {
			p.fields = binary.AppendVarint(p.fields, int64(*e.Grade))
		}
		p.text(e.Bit)
		if p.has(e.TempC != nil) {
			p.fields = binary.BigEndian.AppendUint64(p.fields, math.Float64bits(*e.TempC))
		}
		p.text(e.Anyway)
		p.text(e.Note)
		p.instant(e.Written)
		return p.row()
	},
	unpack: func(id uint64, row []byte, e *jobs.Entry) error {
		u := newUnpacker(row)
		e.ID, e.Operation, e.Class = id, u.text(), jobs.Class(u.text())
		n := u.count()
		if n > 0 {
			e.Shares = make([]jobs.Share, 0, n)
		}
		for range n {
			q := u.part()
			e.Shares = append(e.Shares, jobs.Share{Neck: q.text(), Step: q.whole(), Count: q.float(), Done: q.has(), Left: q.has()})
			u.failed = u.failed || q.err() != nil
		}
		e.From, e.To = u.instant(), u.maybe()
		for range u.count() {
			q := u.part()
			e.Away = append(e.Away, jobs.Span{From: q.instant(), To: q.maybe()})
			u.failed = u.failed || q.err() != nil
		}
		e.Go, e.SpentSec, e.SetupPart = u.maybe(), int64(u.whole()), u.float()
		e.Assumed, e.Late, e.ClockBack = u.has(), u.has(), u.has()
		e.Cause, e.Payer, e.Person = u.text(), u.text(), u.text()
		if u.has() {
			g := int(u.varint())
			e.Grade = &g
		}
		e.Bit = u.text()
		if u.has() {
			if b := u.take(8); b != nil {
				c := math.Float64frombits(binary.BigEndian.Uint64(b))
				e.TempC = &c
			}
		}
		e.Anyway, e.Note, e.Written = u.text(), u.text(), u.instant()
		return u.err()
	},
}

// lotRows packs lots.
var lotRows = &rows[jobs.Lot]{
	pack: func(l *jobs.Lot) ([]byte, bool) {
		p := &packer{}
		p.text(l.Supply)
		p.text(string(l.Source))
		p.instant(l.Received)
		ok := p.exact(l.Quantity.Decimal) && p.exact(l.Price.Decimal()) && p.exact(l.Replacement.Decimal())
		p.instant(l.Opened)
		p.text(string(l.LabelExpires))
		p.text(l.Neck)
		p.text(l.Note)
		row, fits := p.row()
		return row, ok && fits
	},
	unpack: func(id uint64, row []byte, l *jobs.Lot) error {
		u := newUnpacker(row)
		l.ID, l.Supply, l.Source, l.Received = id, u.text(), jobs.Source(u.text()), u.instant()
		l.Quantity, l.Price, l.Replacement = money.Qty{Decimal: u.exact()}, money.FromDecimal(u.exact()), money.FromDecimal(u.exact())
		l.Opened, l.LabelExpires, l.Neck, l.Note = u.instant(), jobs.Day(u.text()), u.text(), u.text()
		return u.err()
	},
}

// useRows packs uses of supplies.
var useRows = &rows[jobs.SupplyUse]{
	pack: func(s *jobs.SupplyUse) ([]byte, bool) {
		p := &packer{}
		p.text(s.Supply)
		p.text(string(s.Kind))
		ok := p.exact(s.Quantity.Decimal)
		p.instant(s.On)
		p.instant(s.Written)
		p.number(s.Lot)
		p.text(s.Neck)
		p.whole(s.Step)
		p.number(s.Entry)
		p.text(s.Cause)
		p.has(s.Recipe)
		p.text(s.Reason)
		p.text(s.Note)
		row, fits := p.row()
		return row, ok && fits
	},
	unpack: func(id uint64, row []byte, s *jobs.SupplyUse) error {
		u := newUnpacker(row)
		s.ID, s.Supply, s.Kind, s.Quantity = id, u.text(), jobs.UseKind(u.text()), money.Qty{Decimal: u.exact()}
		s.On, s.Written, s.Lot = u.instant(), u.instant(), u.number()
		s.Neck, s.Step, s.Entry, s.Cause = u.text(), u.whole(), u.number(), u.text()
		s.Recipe, s.Reason, s.Note = u.has(), u.text(), u.text()
		return u.err()
	},
}

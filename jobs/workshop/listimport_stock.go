package workshop

import (
	"fmt"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

func (b *bringer) knowLots() error {
	for l, err := range store.Each(b.Tx, store.Lots) {
		if err != nil {
			return err
		}
		b.seen[b.lotKey(l)] = fmt.Sprintf("lot %d", l.ID)
	}
	return nil
}

func (b *bringer) lotKey(l jobs.Lot) string {
	return strings.Join([]string{l.Supply, string(jobs.DayOf(l.Received.In(b.Shop.Location()))), l.Quantity.String(), l.Price.String(), string(l.Source)}, "\x00")
}

func (b *bringer) knowUses() error {
	for u, err := range store.Each(b.Tx, store.Uses) {
		if err != nil {
			return err
		}
		b.seen[b.useKey(u)] = fmt.Sprintf("use %d", u.ID)
	}
	return nil
}

func (b *bringer) useKey(u jobs.SupplyUse) string {
	return strings.Join([]string{u.Supply, string(jobs.DayOf(u.On.In(b.Shop.Location()))), u.Quantity.String(), string(u.Kind), u.Neck}, "\x00")
}

// supply finds a supply by its whole name.
func (b *bringer) supply(r BringRow) (jobs.Supply, error) {
	name, err := cellOf(r, "supply")
	if err != nil {
		return jobs.Supply{}, err
	}
	s, ok, err := store.Get(b.Tx, store.Supplies, name)
	if err == nil && !ok {
		var names []string
		for s, err := range store.Each(b.Tx, store.Supplies) {
			if err != nil {
				return s, err
			}
			names = append(names, s.Name)
		}
		err = &jobs.NotFoundError{Noun: "supply", Value: name, Near: jobs.Nearest(name, names)}
	}
	return s, err
}

func (b *bringer) lot(r BringRow) (record, text string, err error) {
	s, err := b.supply(r)
	if err != nil {
		return "", "", err
	}
	l := jobs.Lot{Supply: s.Name, Note: r.Cells["note"]}
	v, err := cellOf(r, "received")
	if err == nil {
		l.Received, err = b.noon("received", v)
	}
	if err != nil {
		return "", "", err
	}
	if v, err = cellOf(r, "quantity"); err == nil {
		l.Quantity, err = jobs.ParseQuantity("quantity", v)
	}
	if err != nil {
		return "", "", err
	}
	source, err := oneOf(r, "source", string(jobs.SourceBought), string(jobs.SourceGift), string(jobs.SourceOffcut), string(jobs.SourceSalvage))
	if err != nil {
		return "", "", err
	}
	l.Source = jobs.Source(source)
	for _, a := range []struct {
		field string
		to    *money.Amount
	}{{"price", &l.Price}, {"replacement", &l.Replacement}} {
		if v := r.Cells[a.field]; v != "" {
			if *a.to, err = jobs.ParseAmount(a.field, v); err != nil {
				return "", "", err
			}
		}
	}
	if l.Source == jobs.SourceBought && r.Cells["price"] == "" {
		return "", "", &jobs.FieldError{Field: "price", Value: "", Want: "the price of the whole quantity; 0 when it cost nothing"}
	}
	if v := r.Cells["opened"]; v != "" {
		if l.Opened, err = b.noon("opened", v); err != nil {
			return "", "", err
		}
	}
	if v := r.Cells["expires"]; v != "" {
		if l.LabelExpires, err = b.date("expires", v); err != nil {
			return "", "", err
		}
	}
	if v := r.Cells["neck"]; v != "" {
		n, err := b.neck(v)
		if err != nil {
			return "", "", err
		}
		l.Neck = n.Code
	}
	if err := l.Validate(); err != nil {
		return "", "", err
	}
	if err := b.once(b.lotKey(l), r.No); err != nil {
		return "", "", err
	}
	if l, err = b.ReceiveLot(l); err != nil {
		return "", "", err
	}
	return fmt.Sprintf("lot %d", l.ID), fmt.Sprintf("%s %s, %s %s for %s", jobs.DayOf(l.Received), s.Name, l.Quantity, s.Unit, b.Shop.Currency.Print(l.Price)), nil
}

func (b *bringer) use(r BringRow) (record, text string, err error) {
	s, err := b.supply(r)
	if err != nil {
		return "", "", err
	}
	u := jobs.SupplyUse{Supply: s.Name, Reason: r.Cells["reason"], Note: r.Cells["note"]}
	v, err := cellOf(r, "date")
	if err == nil {
		u.On, err = b.noon("date", v)
	}
	if err != nil {
		return "", "", err
	}
	if v, err = cellOf(r, "quantity"); err == nil {
		u.Quantity, err = jobs.ParseQuantity("quantity", v)
	}
	if err != nil {
		return "", "", err
	}
	kind, err := oneOf(r, "kind", string(jobs.UseIssue), string(jobs.UseCount), string(jobs.UseWriteOff))
	if err != nil {
		return "", "", err
	}
	u.Kind = jobs.UseKind(kind)
	if v := r.Cells["neck"]; v != "" {
		n, err := b.neck(v)
		if err != nil {
			return "", "", err
		}
		u.Neck = n.Code
	}
	if err := u.Validate(); err != nil {
		return "", "", err
	}
	if err := b.once(b.useKey(u), r.No); err != nil {
		return "", "", err
	}
	if u, err = b.RecordUse(u); err != nil {
		return "", "", err
	}
	where := "overhead"
	if u.Neck != "" {
		where = u.Neck
	}
	return fmt.Sprintf("use %d", u.ID), fmt.Sprintf("%s %s %s %s of %s, %s", jobs.DayOf(u.On), u.Kind, u.Quantity, s.Unit, s.Name, where), nil
}

package quote

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// SharesOf gives one neck's shares of entries, in the order of the entries.
func SharesOf(entries []jobs.Entry, neck string, now time.Time) []WorkShare {
	var out []WorkShare
	for _, e := range entries {
		i := e.ShareOf(neck)
		if i < 0 {
			continue
		}
		out = append(out, WorkShare{Entry: e.ID, Operation: e.Operation, Class: e.Class, Span: e.ShareOut(now)[i],
			Cause: e.Cause, Payer: e.Payer, Assumed: e.Assumed, Running: e.Running()})
	}
	return out
}

// hours is what one line of time adds up.
type hours struct {
	rate          money.Amount
	span, assumed time.Duration
	running       bool
	operations    []string
}

func (h *hours) add(w WorkShare) {
	h.span += w.Span
	if w.Assumed {
		h.assumed += w.Span
	}
	h.running = h.running || w.Running
	if !slices.Contains(h.operations, w.Operation) {
		h.operations = append(h.operations, w.Operation)
	}
}

func (h hours) marks() (marks []string, basis string) {
	basis = strings.Join(h.operations, ", ")
	if h.assumed > 0 {
		marks = append(marks, MarkAssumed)
		basis += "; " + hoursText(h.assumed) + " of it assumed, not clocked"
	}
	if h.running {
		marks = append(marks, MarkRunning)
	}
	return marks, basis
}

// work turns the hours into the lines of labour, overhead and rework. Lines
// are kept in the order in which their first entry came.
func (s *sheet) work(in NeckInput) {
	type key struct {
		class       jobs.Class
		rate, cause string
		payer       string
	}
	var keys []key
	sums := map[key]*hours{}
	all := hours{}
	for _, w := range in.Work {
		k := key{class: jobs.First, rate: in.Rates.LabourOf(w.Operation).String()}
		switch w.Class {
		case jobs.Deciding:
			k.class = jobs.Deciding
		case jobs.Rework:
			k.class, k.cause, k.payer = jobs.Rework, cmp.Or(w.Cause, "other"), cmp.Or(w.Payer, "shop")
		}
		if sums[k] == nil {
			sums[k] = &hours{rate: in.Rates.LabourOf(w.Operation)}
			keys = append(keys, k)
		}
		sums[k].add(w)
		if k.class != jobs.Rework {
			all.add(w)
		}
		s.operation(w)
	}
	overhead := in.Rates.Overhead
	for _, k := range keys {
		h, rate := sums[k], sums[k].rate
		marks, basis := h.marks()
		l := CostLine{Group: GroupLabour, Key: "labour@" + s.cur.Print(rate), What: "labour at " + s.cur.Print(rate) + " an hour", Seconds: int64(h.span / time.Second), Unit: "h", Rate: rate, Marks: marks, Basis: basis}
		switch k.class {
		case jobs.Deciding:
			l.Key, l.What, l.Cause = "decide@"+s.cur.Print(rate), "decisions", string(jobs.Deciding)
		case jobs.Rework:
			l.Rate = rate.Add(overhead)
			l.Group, l.Cause, l.Payer = GroupRework, k.cause, k.payer
			l.Key, l.What = "rework:"+k.cause+":"+k.payer+"@"+s.cur.Print(l.Rate), "rework, "+k.cause
			if k.payer == "customer" {
				l.What += ", customer pays"
			}
			l.Basis += fmt.Sprintf("; labour %s + overhead %s an hour", s.cur.Print(rate), s.cur.Print(overhead))
		}
		l.Amount = l.Rate.Times(h.span)
		s.add(l)
	}
	if all.span > 0 {
		marks, _ := all.marks()
		s.add(CostLine{Group: GroupOverhead, Key: "overhead", What: "overhead at " + s.cur.Print(overhead) + " an hour", Seconds: int64(all.span / time.Second), Unit: "h", Rate: overhead,
			Amount: overhead.Times(all.span), Marks: marks, Basis: "absorbed by every logged bench hour"})
	}
	if len(in.Work) > 0 && in.Rates.Labour.IsZero() && len(in.Rates.ByOperation) == 0 {
		jobs.Warnf(&s.warn, "no labour rate is set: shop set labour AMOUNT")
	}
}

func (s *sheet) operation(w WorkShare) {
	i := slices.IndexFunc(s.operations, func(k OperationHours) bool { return k.Operation == w.Operation && k.Class == w.Class })
	if i < 0 {
		i = len(s.operations)
		s.operations = append(s.operations, OperationHours{Operation: w.Operation, Class: w.Class})
	}
	k := &s.operations[i]
	k.span += w.Span
	k.Minutes = minutesOf(k.span)
	if w.Assumed {
		k.assumed += w.Span
		k.Assumed = minutesOf(k.assumed)
	}
}

// supplies makes one line for each supply, and apart from it one for each
// cause of rework and one for what came back as salvage.
func (s *sheet) supplies(in NeckInput) {
	reworked := map[uint64]string{}
	for _, w := range in.Work {
		if w.Class == jobs.Rework {
			reworked[w.Entry] = cmp.Or(w.Cause, "other")
		}
	}
	type key struct{ supply, cause, mark string }
	var keys []key
	sums := map[key]*CostLine{}
	lots := map[key][]string{}
	for _, is := range in.Issues {
		k := key{supply: is.Use.Supply, cause: is.Use.Cause}
		if k.cause == "" && is.Use.Entry != 0 {
			k.cause = reworked[is.Use.Entry]
		}
		if is.Back != 0 && in.Neck.Status == jobs.Scrapped {
			k.mark = MarkSalvage
		}
		l := sums[k]
		if l == nil {
			supply := in.Units[k.supply]
			l = &CostLine{Group: GroupSupplies, Key: "supply:" + k.supply, What: cmp.Or(supply.Title, k.supply), Unit: string(supply.Unit)}
			if k.cause != "" {
				l.Group, l.Cause, l.Key, l.What = GroupRework, k.cause, "rework:"+k.cause+":"+k.supply, "rework, "+k.cause+": "+l.What
			}
			if k.mark != "" {
				l.Marks, l.Key, l.What = []string{MarkSalvage}, "salvage:"+k.supply, "salvaged: "+l.What
			}
			sums[k] = l
			keys = append(keys, k)
		}
		l.Amount, l.Replacement, l.Quantity = l.Amount.Add(is.Value), l.Replacement.Add(is.Replacement), l.Quantity.Plus(is.Quantity)
		if is.Short.Sign() > 0 {
			l.Marks = append(l.Marks, MarkAssumed)
			jobs.Warnf(&s.warn, "%s: %s %s beyond the stock, at the last known price until a lot comes", k.supply, is.Short, l.Unit)
		}
		for _, t := range is.Takes {
			name := "stock count"
			if t.Lot != 0 {
				name = fmt.Sprintf("lot %d", t.Lot)
			}
			if !slices.Contains(lots[k], name) {
				lots[k] = append(lots[k], name)
			}
			if t.Expired {
				l.Marks = append(l.Marks, MarkExpired)
			}
		}
		if is.Replacement.Cmp(is.Value) != 0 {
			l.Marks = append(l.Marks, MarkGift)
		}
	}
	slices.SortFunc(keys, func(a, b key) int {
		return cmp.Or(cmp.Compare(a.mark, b.mark), cmp.Compare(a.cause, b.cause), cmp.Compare(a.supply, b.supply))
	})
	for _, k := range keys {
		l := *sums[k]
		l.Basis = strings.Join(lots[k], ", ")
		if l.Quantity.Sign() > 0 {
			l.Rate = l.Amount.Div(l.Quantity.Decimal)
		}
		s.add(l)
	}
}

// pieces lists veneers and blanks at their own price, less what was cut off
// and kept at a chosen value.
func (s *sheet) pieces(in NeckInput) {
	for _, p := range in.Pieces {
		l := CostLine{Group: GroupSupplies, Key: "piece:" + p.Code, What: fmt.Sprintf("%s %s, %s", p.Kind, p.Code, p.Wood),
			Quantity: money.QtyOf(1), Unit: "pc", Rate: p.Price, Amount: p.Price, Replacement: p.Price}
		if p.Price.IsZero() && !p.Replacement.IsZero() {
			l.Replacement, l.Marks = p.Replacement, []string{MarkGift}
		}
		var cuts []string
		for _, c := range in.Cuts {
			if c.From == p.Code {
				l.Amount, l.Replacement = l.Amount.Sub(c.Price), l.Replacement.Sub(c.Price)
				cuts = append(cuts, c.Code)
			}
		}
		if len(cuts) > 0 {
			l.Basis = "less the offcut " + strings.Join(cuts, ", ")
		}
		s.add(l)
	}
}

// unratedM is the life expected of an edge without a rating: 150 reference
// holes. Judgement.
const unratedM = 150 * jobs.RefHoleM

// WearOf prepares the wear of an edge: what a fresh edge costs, and the life
// expected of it (the edge's expected life, else the bit's, else the default).
func WearOf(bit jobs.Bit, edge jobs.Edge, rework bool) BitWear {
	w := BitWear{Bit: bit.Code, Edge: edge.No, Change: bit.NewEdgeCost, Reworked: rework, LifeM: edge.ExpectedM}
	if w.Change.IsZero() {
		w.Change = bit.Price
	}
	if w.LifeM <= 0 {
		w.LifeM = bit.ExpectedM
	}
	w.Basis = fmt.Sprintf("expected life %.2f m of cut", w.LifeM)
	if w.LifeM <= 0 {
		w.LifeM, w.Basis = unratedM, fmt.Sprintf("life of %.2f m of cut assumed, none was set", unratedM)
	}
	return w
}

// shareDigits is how exactly a share of a life is carried into an amount.
const shareDigits = 6

func (s *sheet) bits(in NeckInput) {
	for _, b := range in.Bits {
		if b.LifeM <= 0 || b.CutM <= 0 {
			if b.CutM > 0 {
				jobs.Warnf(&s.warn, "bit %s: no life is expected of it, its wear costs nothing here", b.Bit)
			}
			continue
		}
		share := money.QtyFromFloat(b.CutM / b.LifeM).Round(shareDigits)
		l := CostLine{Group: GroupBits, Key: fmt.Sprintf("bit:%s/%d", b.Bit, b.Edge), What: "bit " + b.Bit, Quantity: money.QtyFromFloat(b.CutM), Unit: "m of cut",
			Rate: b.Change.Div(money.QtyFromFloat(b.LifeM).Decimal), Amount: b.Change.Mul(share), Marks: []string{MarkEstimated}, Basis: b.Basis}
		if b.Reworked {
			l.Group, l.Cause, l.Key, l.What = GroupRework, "other", "rework:"+l.Key, "rework: "+l.What
		}
		s.add(l)
	}
}

func (s *sheet) parts(in NeckInput) {
	parts := slices.Clone(in.Parts)
	slices.SortFunc(parts, func(a, b jobs.Part) int { return cmp.Compare(a.ID, b.ID) })
	for _, p := range parts {
		var basis []string
		say := func(format string, a money.Amount) { basis = append(basis, fmt.Sprintf(format, s.cur.Print(a))) }
		if p.Returned != "" {
			basis = append(basis, "sent back "+string(p.Returned))
		} else {
			say("price %s", p.Price)
		}
		if !p.Freight.IsZero() {
			say("freight %s", p.Freight)
		}
		if !p.Tax.IsZero() && p.Returned == "" {
			if p.Reclaimable {
				say("tax %s comes back", p.Tax)
			} else {
				say("tax %s", p.Tax)
			}
		}
		s.add(CostLine{Group: GroupParts, Key: fmt.Sprintf("part:%d", p.ID), What: p.Name, Quantity: money.QtyOf(int64(p.Quantity)), Unit: "pc",
			Rate: p.Cost().Div(money.QtyOf(int64(p.Quantity)).Decimal), Amount: p.Cost(), Basis: strings.Join(basis, ", ")})
	}
}

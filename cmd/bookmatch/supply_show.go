package main

import (
	"math"
	"strconv"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// supplyJSON is what `supply show --json` prints. Amounts are printed lines.
type supplyJSON struct {
	Supply     string         `json:"supply"`
	Title      string         `json:"title,omitempty"`
	Unit       jobs.Unit      `json:"unit"`
	OnHand     money.Qty      `json:"on_hand"`
	Value      money.Amount   `json:"value"`
	Lots       []lotJSON      `json:"lots"`
	ValueIn    money.Amount   `json:"value_in"`
	Issued     money.Amount   `json:"issued"`
	ToNecks    money.Amount   `json:"issued_to_necks"`
	WrittenOff money.Amount   `json:"written_off"`
	Expired    money.Qty      `json:"expired"`
	Uses       []useJSON      `json:"uses"`
	Reorder    stock.Reorder  `json:"reorder"`
	Safety     money.Qty      `json:"safety"`
	Suggested  float64        `json:"safety_suggested"`
	LastPrice  string         `json:"last_unit_price,omitempty"`
	Warnings   []string       `json:"warnings,omitempty"`
	Currency   money.Currency `json:"currency"`
}

type lotJSON struct {
	Lot       uint64       `json:"lot"`
	Source    jobs.Source  `json:"source,omitempty"`
	Received  time.Time    `json:"received"`
	Quantity  money.Qty    `json:"quantity"`
	Left      money.Qty    `json:"left"`
	Price     money.Amount `json:"price"`
	UnitPrice string       `json:"unit_price"`
	Value     money.Amount `json:"value"`
	Opened    *time.Time   `json:"opened,omitempty"`
	Expires   *time.Time   `json:"expires"` // midnight at the beginning of the last good day; null when nothing ends it
	ExpiresBy string       `json:"expires_by,omitempty"`
	Expired   bool         `json:"expired"`
	Found     uint64       `json:"found_by_count,omitempty"`
	Neck      string       `json:"neck,omitempty"`
}

type useJSON struct {
	ID          uint64       `json:"id,omitempty"`
	Kind        jobs.UseKind `json:"kind"`
	On          time.Time    `json:"on"`
	Neck        string       `json:"neck,omitempty"`
	Step        int          `json:"step,omitempty"`
	Entry       uint64       `json:"entry,omitempty"`
	Quantity    money.Qty    `json:"quantity"`
	Value       money.Amount `json:"value"`
	Replacement money.Amount `json:"replacement"`
	Beyond      money.Qty    `json:"beyond_stock"`
	Back        uint64       `json:"back_as_lot,omitempty"`
	Lots        []takenLot   `json:"lots"`
	Reason      string       `json:"reason,omitempty"`
	Note        string       `json:"note,omitempty"`
}

// serviceLevel is the chance of not running out while a delivery is under way
// for which a safety quantity is suggested. Judgement.
const serviceLevel = 0.90

// safetyWeeks of history are needed before a safety quantity is suggested.
const safetyWeeks = 12

func supplyData(b reports.SupplyBook, i int) supplyJSON {
	l, cur, zone := b.Ledgers[i], b.Shop.Currency, b.Shop.Location()
	out := supplyJSON{Supply: l.Supply.Name, Title: l.Supply.Title, Unit: l.Supply.Unit, OnHand: l.OnHand, Value: cur.Line(l.Value), ValueIn: cur.Line(l.ValueIn),
		Issued: cur.Line(l.Issued), ToNecks: cur.Line(l.ToNecks), WrittenOff: cur.Line(l.WrittenOff), Expired: l.Expired, Reorder: b.Orders[i], Safety: l.Supply.Safety,
		Warnings: l.Warnings, Currency: cur, Lots: []lotJSON{}, Uses: []useJSON{}}
	out.Reorder.Cost = cur.Line(out.Reorder.Cost)
	for k := range out.Reorder.Expiring {
		out.Reorder.Expiring[k].Value = cur.Line(out.Reorder.Expiring[k].Value)
	}
	if l.Known {
		out.LastPrice = cur.UnitPrice(l.LastPrice)
	}
	if b.Orders[i].Days >= 7*safetyWeeks {
		q, _ := stock.SafetyStock(stock.Weekly(l, b.Shop.Evening(b.Now), safetyWeeks), max(l.Supply.LeadDays, 1), serviceLevel)
		out.Suggested = math.Ceil(q)
	}
	for _, x := range l.Lots {
		j := lotJSON{Lot: x.ID, Source: x.Source, Received: x.Received.In(zone), Quantity: x.Quantity, Left: x.Left, Price: cur.Line(x.Price),
			UnitPrice: cur.UnitPrice(x.Unit), Value: cur.Line(x.Value), ExpiresBy: x.Why, Expired: x.Expired, Found: x.Found, Neck: x.Neck}
		if x.LastDay != "" {
			if t, err := time.ParseInLocation(time.DateOnly, string(x.LastDay), zone); err == nil {
				j.Expires = &t
			}
		}
		if !x.Opened.IsZero() {
			t := x.Opened.In(zone)
			j.Opened = &t
		}
		out.Lots = append(out.Lots, j)
	}
	for _, is := range l.Issues {
		u := useJSON{ID: is.Use.ID, Kind: is.Use.Kind, On: is.Use.On.In(zone), Neck: is.Use.Neck, Step: is.Use.Step, Entry: is.Use.Entry, Quantity: is.Quantity,
			Value: cur.Line(is.Value), Replacement: cur.Line(is.Replacement), Beyond: is.Short, Back: is.Back, Reason: is.Use.Reason, Note: is.Use.Note, Lots: []takenLot{}}
		for _, t := range is.Takes {
			u.Lots = append(u.Lots, takenLot{t.Lot, t.Quantity, cur.Line(t.Value), t.Expired})
		}
		out.Uses = append(out.Uses, u)
	}
	return out
}

func (e *env) supplyShow(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	book, err := e.supplyBook(c, w[0])
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(supplyData(book, 0))
	}
	return e.print(reports.SupplyCard(book, c.Bool("all")))
}

func (e *env) supplyList(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	book, err := e.supplyBook(c, "")
	if err != nil {
		return err
	}
	if wantJSON(c) {
		type row struct {
			Supply string       `json:"supply"`
			Unit   jobs.Unit    `json:"unit"`
			OnHand money.Qty    `json:"on_hand"`
			Value  money.Amount `json:"value"`
			stock.Reorder
		}
		rows := []row{}
		value := book.Shop.Currency.Line(money.Zero)
		for i, l := range book.Ledgers {
			d := supplyData(book, i)
			rows = append(rows, row{l.Supply.Name, l.Supply.Unit, l.OnHand, d.Value, d.Reorder})
			value = value.Add(d.Value)
		}
		return e.PrintJSON(map[string]any{"supplies": rows, "value": value, "currency": book.Shop.Currency})
	}
	return e.print(reports.SupplyList(book))
}

func (e *env) supplyLot(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	id, err := strconv.ParseUint(w[0], 10, 63)
	if err != nil || id == 0 {
		return &jobs.FieldError{Field: "lot", Value: w[0], Want: "the number of a lot; supply show NAME lists them"}
	}
	book, err := e.supplyBook(c, "")
	if err != nil {
		return err
	}
	for _, l := range book.Ledgers {
		for _, x := range l.Lots {
			if x.ID != id {
				continue
			}
			users := l.UsersOf(id)
			if !wantJSON(c) {
				return e.print(reports.LotUsers(book, x, users))
			}
			necks, seen := []string{}, map[string]bool{}
			for i, u := range users {
				users[i].Value, users[i].On = book.Shop.Currency.Line(u.Value), u.On.In(book.Shop.Location())
				if u.Neck != "" && !seen[u.Neck] {
					necks, seen[u.Neck] = append(necks, u.Neck), true
				}
			}
			if users == nil {
				users = []stock.LotUse{}
			}
			return e.PrintJSON(map[string]any{"lot": id, "supply": l.Supply.Name, "received": x.Received.In(book.Shop.Location()), "left": x.Left, "necks": necks, "uses": users, "currency": book.Shop.Currency})
		}
	}
	return &jobs.NotFoundError{Noun: "lot", Value: w[0]}
}

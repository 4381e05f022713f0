package main

import (
	"fmt"
	"strings"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func supplyCommand(e *env) *cli.Command {
	on := &cli.StringFlag{Name: "on", Usage: "`DATE` it happened, or DATE HH:MM; today if not said"}
	lot := &cli.Uint64Flag{Name: "lot", Usage: "from lot `N` instead of first in, first out"}
	note := &cli.StringFlag{Name: "note", Usage: "a remark"}
	reason := &cli.StringFlag{Name: "reason", Aliases: []string{"why"}, Usage: "why, where a use is out of the ordinary"}
	about := []cli.Flag{
		&cli.StringFlag{Name: "title", Usage: "what stands on the tin"},
		&cli.StringFlag{Name: "reorder", Usage: "order at this `QUANTITY`; left out, the usage rate decides"},
		&cli.StringFlag{Name: "safety", Usage: "`QUANTITY` kept back for a late delivery"},
		&cli.StringFlag{Name: "pack", Usage: "`QUANTITY` usually bought"},
		&cli.IntFlag{Name: "lead-days", Usage: "days from order to delivery"},
		&cli.IntFlag{Name: "open-life-days", Usage: "days it keeps once opened"},
		&cli.StringFlag{Name: "replacement", Usage: "`PRICE` of one unit today, for gifts and before the first lot"},
		&cli.StringFlag{Name: "label", Usage: "what the label asks for, in your words"},
		note,
	}
	unit := &cli.StringFlag{Name: "unit", Usage: "`UNIT`: " + strings.Join(jobs.Units(), ", ")}
	return &cli.Command{
		Name: "supply", Usage: "supplies by lot: what is on hand, what it is worth, what to order",
		Subcommands: []*cli.Command{
			{Name: "add", Usage: "keep a new supply", ArgsUsage: "NAME --unit UNIT", Flags: append([]cli.Flag{unit}, about...), Action: e.supplyAdd},
			{Name: "set", Usage: "change what is known of a supply", ArgsUsage: "NAME", Flags: about, Action: e.supplySet},
			{Name: "receive", Usage: "a lot came in; --price is for the whole quantity", ArgsUsage: "NAME QUANTITY --price PRICE", Action: e.supplyReceive, Flags: []cli.Flag{
				&cli.StringFlag{Name: "price", Usage: "`PRICE` of the whole quantity"}, on,
				&cli.StringFlag{Name: "expires", Usage: "printed `DATE`, the last good day"},
				&cli.BoolFlag{Name: "gift", Usage: "it cost nothing"},
				&cli.StringFlag{Name: "replacement", Usage: "what the whole quantity would cost to buy, for a gift"}, note}},
			{Name: "open", Usage: "the oldest closed lot was opened", ArgsUsage: "NAME", Flags: []cli.Flag{lot, on}, Action: e.supplyOpen},
			{Name: "use", Usage: "something was used, for a neck or (without one) as overhead", ArgsUsage: "NAME QUANTITY", Action: e.supplyUse, Flags: []cli.Flag{
				&cli.StringFlag{Name: "neck", Usage: "`NECK` that bears it"}, on, lot,
				&cli.IntFlag{Name: "step", Usage: "step `N` of the neck"},
				&cli.StringFlag{Name: "rework", Usage: "used in rework: `CAUSE` " + strings.Join(jobs.ReworkCauses, ", ")}, reason, note}},
			{Name: "count", Usage: "stock-take: what is really there", ArgsUsage: "NAME QUANTITY", Flags: []cli.Flag{on, lot, reason, note}, Action: e.supplyCount},
			{Name: "write-off", Usage: "spilled, spoiled or thrown away: overhead bears it", ArgsUsage: "NAME QUANTITY", Flags: []cli.Flag{on, lot, reason, note}, Action: e.supplyWriteOff},
			{Name: "offcut", Usage: "something comes back from a neck at a chosen value", ArgsUsage: "NAME QUANTITY --neck NECK", Action: e.supplyOffcut, Flags: []cli.Flag{
				&cli.StringFlag{Name: "neck", Usage: "`NECK` that is credited"}, &cli.StringFlag{Name: "value", Usage: "`VALUE` of what comes back", Value: "0"},
				&cli.BoolFlag{Name: "salvage", Usage: "salvaged from a scrapped neck"}, on, note}},
			{Name: "amend", Usage: "correct a use or a lot by its number", ArgsUsage: "use|lot N", Action: e.supplyAmend, Flags: []cli.Flag{
				&cli.StringFlag{Name: "quantity", Usage: "`QUANTITY` as it really was"}, &cli.StringFlag{Name: "price", Usage: "`PRICE` of the whole lot"}, on,
				&cli.StringFlag{Name: "neck", Usage: "`NECK`, or none"}, &cli.StringFlag{Name: "expires", Usage: "printed `DATE` of the lot"}, lot, reason, note}},
			{Name: "drop", Usage: "take a use or a lot back by its number", ArgsUsage: "use|lot N", Action: e.supplyDrop},
			{Name: "list", Usage: "what is on hand, what must be ordered by when, what expires", Action: e.supplyList},
			{Name: "show", Usage: "one supply: its account, lots and uses", ArgsUsage: "NAME", Flags: []cli.Flag{&cli.BoolFlag{Name: "all", Usage: "lots used up and uses of long ago, too"}}, Action: e.supplyShow},
			{Name: "lot", Usage: "which necks used a lot", ArgsUsage: "N", Action: e.supplyLot},
		},
	}
}

// stamp reads --on: a date stands for its beginning or, where what happened
// comes after deliveries of the same day, for its end; today is now. A date
// with a time is that instant. A day that lies ahead is refused: what is not there
// yet cannot be on hand, or used.
func (b *desk) stamp(c *cli.Context, end bool) (time.Time, error) {
	s := strings.TrimSpace(c.String("on"))
	zone := b.Shop.Location()
	if s == "" {
		return b.Now, nil
	}
	if t, err := time.Parse(time.RFC3339, s); err == nil {
		return b.notLater(t.UTC())
	}
	date, clock, timed := strings.Cut(strings.Replace(s, "T", " ", 1), " ")
	day, err := jobs.ParseDay("on", date)
	if err != nil {
		return time.Time{}, err
	}
	if timed {
		at, err := jobs.ParseClock("on", clock)
		if err != nil {
			return time.Time{}, err
		}
		t, err := jobs.WallTime(day, at, zone, "")
		if err != nil {
			return t, err
		}
		return b.notLater(t)
	}
	if end && day == jobs.DayOf(b.Now.In(zone)) {
		return b.Now, nil
	}
	midnight, err := time.ParseInLocation(time.DateOnly, string(day), zone)
	if err != nil {
		return midnight, err
	}
	if end {
		next, err := time.ParseInLocation(time.DateOnly, string(day.Add(1)), zone)
		if err != nil {
			return next, err
		}
		return b.notLater(next.Add(-time.Second).UTC())
	}
	return b.notLater(midnight.UTC())
}

func (b *desk) notLater(t time.Time) (time.Time, error) {
	day := jobs.DayOf(t.In(b.Shop.Location()))
	switch {
	case day > jobs.DayOf(b.Now.In(b.Shop.Location())):
		return t, &jobs.FieldError{Field: "on", Value: string(day), Want: "a day that is not in the future"}
	case t.After(b.Now):
		b.Warn("%s lies ahead of now; it is kept as written", t.In(b.Shop.Location()).Format("2006-01-02 15:04"))
	}
	return t, nil
}

func (e *env) supplyAdd(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		s := jobs.Supply{Name: w[0], Unit: jobs.Unit(c.String("unit"))}
		if err := aboutSupply(c, &s); err != nil {
			return err
		}
		if err := s.Validate(); err != nil {
			return err
		}
		b.Data = s
		b.Say("%s: kept in %s%s", s.Name, s.Unit, levelText(s))
		return b.AddSupply(s)
	})
}

func levelText(s jobs.Supply) string {
	if s.Reorder.Sign() > 0 {
		return fmt.Sprintf(", order at %s %s", s.Reorder, s.Unit)
	}
	return ", ordered by its usage rate"
}

func (e *env) supplySet(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		s, err := b.FindSupply(w[0])
		if err != nil {
			return err
		}
		if err := aboutSupply(c, &s); err != nil {
			return err
		}
		b.Data = s
		b.Say("%s: %s%s%s", s.Name, s.Unit, levelText(s), setText(c))
		return store.Put(b.Tx, store.Supplies, s)
	})
}

// setText names the settings that were changed beside the level: a slip in one
// is seen at once.
func setText(c *cli.Context) string {
	text := ""
	for _, flag := range c.Command.Flags {
		if name := flag.Names()[0]; c.IsSet(name) && name != "reorder" {
			text += fmt.Sprintf("; %s %v", name, c.Value(name))
		}
	}
	return text
}

// aboutSupply reads the flags of add and set that were given.
func aboutSupply(c *cli.Context, s *jobs.Supply) error {
	for flag, to := range map[string]*string{"title": &s.Title, "label": &s.Label, "note": &s.Note} {
		if c.IsSet(flag) {
			*to = strings.TrimSpace(c.String(flag))
		}
	}
	for flag, to := range map[string]*int{"lead-days": &s.LeadDays, "open-life-days": &s.OpenLifeDays} {
		if c.IsSet(flag) {
			*to = c.Int(flag)
		}
	}
	var err error
	for _, f := range []struct {
		flag string
		to   *money.Qty
	}{{"reorder", &s.Reorder}, {"safety", &s.Safety}, {"pack", &s.Pack}} {
		if c.IsSet(f.flag) {
			if *f.to, err = jobs.ParseQuantity(f.flag, c.String(f.flag)); err != nil {
				return err
			}
		}
	}
	if c.IsSet("replacement") {
		s.Replacement, err = jobs.ParseAmount("replacement", c.String("replacement"))
	}
	return err
}

// book reads the accounts of supplies with what to order; no name reads all.
func (e *env) supplyBook(c *cli.Context, name string) (reports.SupplyBook, error) {
	var book reports.SupplyBook
	err := e.view(c, func(tx *workshop.Book) (err error) {
		book, err = readSupplies(tx, name)
		return err
	})
	return book, err
}

func readSupplies(tx *workshop.Book, name string) (book reports.SupplyBook, err error) {
	if book.Shop, err = tx.Shop, nil; err != nil {
		return book, err
	}
	book.Now = tx.Now
	if name != "" {
		s, err := tx.FindSupply(name)
		if err != nil {
			return book, err
		}
		l, err := tx.SupplyLedger(s)
		if err != nil {
			return book, err
		}
		book.Ledgers = []stock.SupplyLedger{l}
	} else if book.Ledgers, err = tx.SupplyLedgers(); err != nil {
		return book, err
	}
	planned, err := tx.PlannedUses()
	if err != nil {
		return book, err
	}
	today := book.Shop.Evening(tx.Now)
	codes := map[string]bool{}
	for _, l := range book.Ledgers {
		for _, is := range l.Issues {
			codes[is.Use.Neck] = true
		}
		book.Orders = append(book.Orders, stock.PlanReorder(l, planned[l.Supply.Name], today))
	}
	book.Necks = tx.NeckNames(codes)
	return book, nil
}

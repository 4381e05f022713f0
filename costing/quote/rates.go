package quote

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// RateCard holds the rates of the shop: labour an hour, for some operations their
// own, and the overhead that every logged bench hour absorbs.
type RateCard struct {
	Currency    money.Currency  `json:"currency"`
	Labour      money.Amount    `json:"labour_per_h"`
	ByOperation []OperationRate `json:"labour_by_operation,omitempty"`
	Overhead    money.Amount    `json:"overhead_per_h"`
}

// OperationRate is the labour rate of one operation.
type OperationRate struct {
	Operation string       `json:"operation"`
	Labour    money.Amount `json:"labour_per_h"`
}

// RatesOf gathers the rates from the shop and its operations, operations by name.
func RatesOf(shop jobs.Shop, operations []jobs.Operation) RateCard {
	card := RateCard{Currency: shop.Currency, Labour: shop.Labour, Overhead: shop.Overhead}
	for _, k := range operations {
		if k.Labour != nil {
			card.ByOperation = append(card.ByOperation, OperationRate{k.Name, *k.Labour})
		}
	}
	slices.SortFunc(card.ByOperation, func(a, b OperationRate) int { return cmp.Compare(a.Operation, b.Operation) })
	return card
}

// LabourOf gives the rate of an operation: its own, else the shop's.
func (c RateCard) LabourOf(operation string) money.Amount {
	for _, k := range c.ByOperation {
		if k.Operation == operation {
			return k.Labour
		}
	}
	return c.Labour
}

// OverheadRate is what a bench hour has to carry. PerHour divides by the hours that were logged,
// PlannedPerHour by those the builder believes a year has; Missing is what a
// job of JobHours loses when the second is used and the first is true.
type OverheadRate struct {
	Yearly         money.Amount    `json:"yearly"`
	LoggedHours    decimal.Decimal `json:"logged_h"`
	PlannedHours   decimal.Decimal `json:"planned_h"`
	PerHour        money.Amount    `json:"per_h"`
	PlannedPerHour money.Amount    `json:"planned_per_h"`
	JobHours       decimal.Decimal `json:"job_h"`
	Missing        money.Amount    `json:"missing_per_job"`
	Known          bool            `json:"known"` // enough hours were logged to divide by
	Basis          string          `json:"basis"`
	Warnings       []string        `json:"warnings,omitempty"`
}

// leastLogged is the fewest logged hours worth dividing by: below it a quiet
// month would make the rate jump. Judgement.
const leastLogged = 40 * time.Hour

// LoggedOnNecks adds up the hours that were logged on necks, paid and for
// stock alike: the denominator of the overhead rate.
func LoggedOnNecks(entries []jobs.Entry, now time.Time) time.Duration {
	var sum time.Duration
	for _, e := range entries {
		if len(e.Shares) > 0 {
			sum += e.Elapsed(now)
		}
	}
	return sum
}

// Absorb divides the yearly overhead by the hours logged in a year, and next
// to it by the planned hours. A zero denominator gives no rate and a warning.
func Absorb(yearly money.Amount, logged time.Duration, plannedHours, jobHours float64) OverheadRate {
	planned, job := money.QtyFromFloat(plannedHours).Decimal, money.QtyFromFloat(jobHours).Decimal
	out := OverheadRate{Yearly: yearly, PlannedHours: planned, JobHours: job}
	out.LoggedHours = decimal.NewFromInt(int64(logged/time.Second)).DivRound(decimal.NewFromInt(3600), 2)
	if planned.Sign() > 0 {
		out.PlannedPerHour = out.Yearly.Div(planned)
	}
	if logged < leastLogged {
		out.Basis = fmt.Sprintf("%s h logged in a year: too few to divide by", out.LoggedHours)
		jobs.Warnf(&out.Warnings, "only %s h logged in the last year: the overhead rate stays an assumption until %d h are", out.LoggedHours, int(leastLogged.Hours()))
		return out
	}
	out.Known = true
	seconds := decimal.NewFromInt(int64(logged / time.Second))
	out.PerHour = out.Yearly.MulInt(3600).Div(seconds)
	out.Missing = out.PerHour.Sub(out.PlannedPerHour).Mul(job)
	if planned.Sign() == 0 {
		out.Missing = money.Zero
	}
	out.Basis = fmt.Sprintf("%s a year over %s h logged", out.Yearly.Round(2), out.LoggedHours)
	return out
}

package jobs

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

// Slot is a planned working evening: a weekday with its hours.
type Slot struct {
	Day  time.Weekday `json:"weekday"`
	From Clock        `json:"from"`
	To   Clock        `json:"to"`
}

var weekdayNames = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// String prints "tue 19:30-22:00".
func (s Slot) String() string { return fmt.Sprintf("%s %s-%s", weekdayNames[s.Day], s.From, s.To) }

// ParseSlot reads "tue 19:30-22:00". An end at or before the start is taken
// past midnight.
func ParseSlot(s string) (Slot, error) {
	bad := &FieldError{"evening", s, `a weekday and hours such as "tue 19:30-22:00"`}
	f := strings.Fields(strings.ToLower(s))
	if len(f) > 2 { // blanks around the hours
		f = []string{f[0], strings.Join(f[1:], "")}
	}
	if len(f) != 2 || len(f[0]) < 3 {
		return Slot{}, bad
	}
	day := slices.Index(weekdayNames, f[0][:3])
	from, to, ok := strings.Cut(f[1], "-")
	a, errA := ParseClock("evening", from)
	b, errB := ParseClock("evening", to)
	if day < 0 || !ok || errA != nil || errB != nil || a == b {
		return Slot{}, bad
	}
	slot := Slot{time.Weekday(day), a, b}
	if slot.Minutes() > longestSlot {
		return Slot{}, &FieldError{"evening", s, "an end after its start, at most 12 hours later"}
	}
	return slot, nil
}

// longestSlot separates a slot past midnight from one typed the wrong way round.
const longestSlot = 12 * 60

// Minutes is the length of the slot.
func (s Slot) Minutes() int { return (int(s.To-s.From) + 24*60) % (24 * 60) }

// TaxRule says where tax is rounded.
type TaxRule string

// The two rounding rules for tax.
const (
	TaxPerLine  TaxRule = "per-line"
	TaxPerTotal TaxRule = "per-total"
)

// Shop is the workshop: one currency, one zone, rates, evenings, paper and the
// settings of the models. There is one per file.
type Shop struct {
	Name string `json:"name"`
	Letterhead
	Currency    money.Currency `json:"currency"`
	Zone        string         `json:"zone"`
	ZonesBefore []ZoneBefore   `json:"zones_before,omitempty"` // oldest first
	Country     string         `json:"country,omitempty"`
	Dates       DateOrder      `json:"dates,omitempty"`
	Units       string         `json:"units,omitempty"` // Inches, else millimetres
	DayEnds     Clock          `json:"day_ends"`        // the evening's date turns here, not at midnight
	Labour      money.Amount   `json:"labour_per_h"`
	// Overhead per logged bench hour. When YearlyOverhead and a year of logged
	// hours exist the true figure is shown next to it.
	Overhead       money.Amount    `json:"overhead_per_h"`
	YearlyOverhead money.Amount    `json:"yearly_overhead"`
	PlannedHours   float64         `json:"planned_hours_per_year"`
	Tax            decimal.Decimal `json:"tax_percent"`
	TaxRule        TaxRule         `json:"tax_rule"`
	Evenings       []Slot          `json:"evenings"`
	Holidays       []Day           `json:"holidays,omitempty"`
	Paper          string          `json:"paper"` // a4 or letter
	QuietAfter     Clock           `json:"quiet_after"`
	Clamps         int             `json:"clamps"`         // sets of clamps, a counted resource
	DustFree       bool            `json:"dust_free_room"` // dust does not reach a wet film
	TiredAfterH    float64         `json:"tired_after_h"`  // at the bench so long, no machine is started; 0 never
	ColdBelowC     float64         `json:"cold_below_c"`
	ColdFactor     float64         `json:"cold_cure_factor"`
	HoleDepthMM    float64         `json:"hole_depth_mm"`          // when no plan says better
	SpindleRPM     []int           `json:"spindle_rpm"`            // steps of the drill press
	BitShape       float64         `json:"bit_shape"`              // assumed Weibull shape of edge lives
	TestHoleCost   money.Amount    `json:"test_hole_cost"`         // of one test hole in offcut
	BitFitMM       float64         `json:"bit_fit_mm"`             // by how much a bit may differ from the hole of a plan
	PageAddress    string          `json:"page_address,omitempty"` // of the page in the home network, for codes on cards
	PrinterX       float64         `json:"printer_x"`              // measured length of a printed 100 mm bar across
	PrinterY       float64         `json:"printer_y"`              // and along the feed
	BackupKeep     int             `json:"backup_keep"`            // dated copies kept; 0 makes none by itself
}

// DefaultShop is a shop before anything is set. Values marked "judgement" in
// the table below are starting guesses to overwrite.
func DefaultShop() Shop {
	return Shop{
		Zone: "UTC", DayEnds: 5 * 60, TaxRule: TaxPerTotal, Paper: "a4", QuietAfter: 21 * 60, Clamps: 4,
		TiredAfterH: 3, ColdBelowC: 15, ColdFactor: 2, HoleDepthMM: 15, SpindleRPM: []int{500, 900, 1400, 2000, 2600},
		BitShape: 2.5, TestHoleCost: money.New(1, 0), BitFitMM: 0.15, PrinterX: 100, PrinterY: 100, BackupKeep: 14,
		PlannedHours: 330,
	}
}

// Evening gives the shop day of t.
func (s Shop) Evening(t time.Time) Day { return EveningOf(t, s.Location(), s.DayEnds) }

// SlotOn gives the planned hours of a day; ok is false on a day off.
func (s Shop) SlotOn(d Day) (Slot, bool) {
	if slices.Contains(s.Holidays, d) {
		return Slot{}, false
	}
	for _, slot := range s.Evenings {
		if slot.Day == d.Weekday() {
			return slot, true
		}
	}
	return Slot{}, false
}

// ShopKey is one setting of the shop as `shop set KEY VALUE` and `shop show`
// know it.
type ShopKey struct {
	Key, Help string
	Get       func(*Shop) string
	Set       func(*Shop, string) error
}

// ShopKeys lists every setting in the order in which they are shown. To add a
// setting, add its field to Shop and a row here.
func ShopKeys() []ShopKey { return shopKeys }

// SetShop sets one key. An unknown key is a *NotFoundError with the nearest.
func SetShop(s *Shop, key, value string) error {
	names := make([]string, len(shopKeys))
	for i, k := range shopKeys {
		names[i] = k.Key
		if k.Key == key {
			if fresh := DefaultShop(); value == "none" && k.Get(&fresh) == "" {
				value = "" // as a setting that is empty is shown
			}
			return k.Set(s, value)
		}
	}
	return &NotFoundError{"setting", key, Nearest(key, names)}
}

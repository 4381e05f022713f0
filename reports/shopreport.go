package reports

import (
	"time"

	"bookmatch/jobs"
)

// ShopReport starts a report that is not made of a result: the shop's currency,
// zone and paper.
func ShopReport(shop jobs.Shop, now time.Time, name, title string) Report {
	return Report{Name: name, Title: title, Currency: shop.Currency, Zone: shop.Location(), Paper: Paper(shop.Paper), Made: now, Shop: shop.Name}
}

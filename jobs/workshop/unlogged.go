package workshop

import (
	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// UnloggedTime is how much longer evenings are than their logged work, over the
// last Days days.
type UnloggedTime struct {
	estimate.Unlogged
	Days int `json:"days"`
}

// Unlogged measures the unlogged time of the last ten weeks.
func (b *Book) Unlogged() (UnloggedTime, error) {
	tonight := b.Tonight()
	log, err := b.EntriesBetween(tonight.Noon().AddDate(0, 0, -estimate.UnloggedDays-2), b.Now)
	u := UnloggedTime{estimate.UnloggedLately(log, b.Shop, tonight), estimate.UnloggedDays}
	u.Factor, u.Measured = jobs.Round3(u.Factor), jobs.Round3(u.Measured)
	return u, err
}

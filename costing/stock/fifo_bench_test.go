package stock

import (
	"encoding/json"
	"testing"
	"time"

	"bookmatch/jobs"
)

// Twenty years of one glue: ten lots and sixty uses a year. The bare limit in
// the same run is decoding the records from JSON, which every reader pays.
func BenchmarkFifo(b *testing.B) {
	var lots []jobs.Lot
	var uses []jobs.SupplyUse
	for year := range 20 {
		for i := range 10 {
			lots = append(lots, lot(uint64(len(lots)+1), on("2006-01-02").AddDate(year, i, 0).Format(time.DateOnly), "250", "12.35"))
		}
		for i := range 60 {
			uses = append(uses, use(uint64(len(uses)+1), on("2006-02-02").AddDate(year, 0, i*6).Format(time.DateOnly), "38.7", "N1"))
		}
	}
	raw, err := json.Marshal(uses)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("ledger", func(b *testing.B) {
		for b.Loop() {
			Fifo(glue, lots, uses, on("2026-05-01"), time.UTC)
		}
	})
	b.Run("bare-decode", func(b *testing.B) {
		for b.Loop() {
			var back []jobs.SupplyUse
			if err := json.Unmarshal(raw, &back); err != nil {
				b.Fatal(err)
			}
		}
	})
}

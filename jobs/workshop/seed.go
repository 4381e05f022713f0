package workshop

import (
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// seed reads the shop, or on a fresh file writes what a shop begins with and takes
// the default shop, which the verb changes and keeps.
func (b *Book) seed() error {
	shop, err := Seed(b.Tx)
	if err != nil {
		return err
	}
	b.Shop = shop
	b.Operations, err = b.OperationMap()
	return err
}

// Seed gives the shop of a file. On a fresh file it first writes the operations,
// woods and routes that a shop begins with and gives the default shop, which the
// caller changes and keeps.
func Seed(tx *store.Tx) (jobs.Shop, error) {
	s, ok, err := store.Get(tx, store.Shops, "shop")
	if ok || err != nil {
		return s, err
	}
	for _, k := range jobs.SeedOperations() {
		if err := store.Put(tx, store.Operations, k); err != nil {
			return s, err
		}
	}
	for _, w := range jobs.SeedWoods() {
		if err := store.Put(tx, store.Woods, w); err != nil {
			return s, err
		}
	}
	for _, r := range jobs.SeedRoutes() {
		if err := store.Put(tx, store.Routes, r); err != nil {
			return s, err
		}
	}
	return jobs.DefaultShop(), nil
}

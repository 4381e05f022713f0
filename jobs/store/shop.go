package store

import (
	"errors"

	"bookmatch/jobs"
)

// errNoShop is a file in which setup never ended.
var errNoShop = errors.New("the workshop is not set up")

// Shop reads the shop of the file.
func (tx *Tx) Shop() (jobs.Shop, error) {
	s, ok, err := Get(tx, Shops, "shop")
	if err == nil && !ok {
		err = errNoShop
	}
	return s, err
}

// SeedOrShop reads the shop, or on a fresh file seeds the operations, woods and
// routes and gives the default shop, which the caller changes and puts.
func (tx *Tx) SeedOrShop() (jobs.Shop, error) {
	s, ok, err := Get(tx, Shops, "shop")
	if ok || err != nil {
		return s, err
	}
	for _, k := range jobs.SeedOperations() {
		if err := Put(tx, Operations, k); err != nil {
			return s, err
		}
	}
	for _, w := range jobs.SeedWoods() {
		if err := Put(tx, Woods, w); err != nil {
			return s, err
		}
	}
	for _, r := range jobs.SeedRoutes() {
		if err := Put(tx, Routes, r); err != nil {
			return s, err
		}
	}
	return jobs.DefaultShop(), nil
}

// OperationMap reads all operations by name.
func (tx *Tx) OperationMap() (map[string]jobs.Operation, error) {
	out := map[string]jobs.Operation{}
	for k, err := range Each(tx, Operations) {
		if err != nil {
			return nil, err
		}
		out[k.Name] = k
	}
	return out, nil
}

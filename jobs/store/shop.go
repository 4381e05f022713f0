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

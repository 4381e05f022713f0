package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"bookmatch/jobs"
)

// A card is what the records of one bit come to: the lives of its edges. It is
// an index, not a record. A verdict on one bit asks for the lives of all bits
// alike, and to derive those anew takes the uses of twenty years. Whatever
// touches the records of a bit, an undo or an import too, makes its card anew in
// the same transaction; `data check` holds every card against the records.
//
// Holes of a bit that nobody remembers are not on the cards: they may be any
// bit's, and are few.
type card struct {
	Keep  string          `json:"kept_for"`
	Lives []jobs.EdgeLife `json:"lives"`
}

// Buckets of the cards: code -> card, code -> packed ages of its edges, and set 0
// code -> code of where bits are.
const (
	BitCards  = "ix_bit_cards"
	BitAges   = "ix_bit_ages"
	BitsBySet = "ix_bits_set"
)

// cardIndexes lists the buckets that are made from the records of bits together.
var cardIndexes = []string{BitCards, BitAges, BitsBySet}

// touch notes whose card a written record makes stale.
func (tx *Tx) touch(bucket string, key []byte, docs ...[]byte) error {
	switch bucket {
	case Bits.bucket:
		tx.stale(string(key))
	case Edges.bucket:
		code, _, _ := bytes.Cut(key, []byte{0})
		tx.stale(string(code))
	case BitUses.bucket, BitMoves.bucket:
		for _, raw := range docs {
			var of struct {
				Bit string `json:"bit"`
			}
			if raw == nil {
				continue
			}
			if err := decode(raw, &of); err != nil {
				return fmt.Errorf("%s %s: %w", bucket, keyText(key), err)
			}
			tx.stale(of.Bit)
		}
	case Woods.bucket:
		tx.woods = true
	}
	return nil
}

func (tx *Tx) stale(code string) {
	if tx.staleCards == nil {
		tx.staleCards = map[string]bool{}
	}
	tx.staleCards[code] = true
}

// freshen makes the stale cards anew. Who reads cards, and the end of the
// transaction, calls it.
func (tx *Tx) freshen() error {
	if len(tx.staleCards) == 0 && !tx.woods {
		return nil
	}
	if tx.woods { // a factor wears every edge
		cur := tx.bucket(Bits.bucket).Cursor()
		for k, _ := cur.First(); k != nil; k, _ = cur.Next() {
			tx.stale(string(k))
		}
	}
	codes := jobs.SortedKeys(tx.staleCards)
	tx.staleCards, tx.woods = nil, false
	woods, err := All(tx, Woods)
	if err != nil {
		return err
	}
	for _, code := range codes {
		if err := tx.makeCard(code, woods); err != nil {
			return err
		}
	}
	return nil
}

func (tx *Tx) makeCard(code string, woods []jobs.Wood) error {
	cards, ages, sets := tx.bucket(BitCards), tx.bucket(BitAges), tx.bucket(BitsBySet)
	if raw := cards.Get([]byte(code)); raw != nil {
		var old card
		if err := decode(raw, &old); err != nil {
			return damaged("card of bit", []byte(code), err)
		}
		if err := sets.Delete(pair(old.Keep, []byte(code))); err != nil {
			return err
		}
	}
	fresh, ok, err := tx.deriveCard(code, woods)
	switch {
	case err != nil:
		return err
	case !ok:
		return errors.Join(cards.Delete([]byte(code)), ages.Delete([]byte(code)))
	}
	raw, err := json.Marshal(fresh)
	if err != nil {
		return err
	}
	if err := sets.Put(pair(fresh.Keep, []byte(code)), []byte(code)); err != nil {
		return err
	}
	if err := ages.Put([]byte(code), packAges(fresh.Lives)); err != nil {
		return err
	}
	return cards.Put([]byte(code), raw)
}

// deriveCard works a card out from the records; ok is false where there is no
// such bit.
func (tx *Tx) deriveCard(code string, woods []jobs.Wood) (c card, ok bool, err error) {
	bit, ok, err := Get(tx, Bits, code)
	if err != nil || !ok {
		return c, false, err
	}
	book := jobs.BitBook{Woods: woods}
	if err := tx.addRecords(&book, code); err != nil {
		return c, false, err
	}
	c.Lives = book.OwnLives(bit)
	c.Keep = c.Lives[len(c.Lives)-1].Keep
	return c, true, nil
}

// fillCards makes every card, in the order of their keys.
func (tx *Tx) fillCards() error {
	for _, name := range cardIndexes {
		if err := tx.empty(name); err != nil {
			return err
		}
	}
	tx.woods = true
	return tx.freshen()
}

// lives reads the card of a bit; none where there is no such bit.
func (tx *Tx) lives(code string) ([]jobs.EdgeLife, error) {
	if err := tx.freshen(); err != nil {
		return nil, err
	}
	var c card
	raw := tx.bucket(BitCards).Get([]byte(code))
	if raw == nil {
		return nil, nil
	}
	if err := decode(raw, &c); err != nil {
		return nil, damaged("card of bit", []byte(code), err)
	}
	return c.Lives, nil
}

// BitsIn gives the bits that are in a set now, in order of code.
func (tx *Tx) BitsIn(set string) ([]jobs.Bit, error) {
	if err := tx.freshen(); err != nil {
		return nil, err
	}
	return By(tx, Bits, BitsBySet, set)
}

// cards finds cards that are not what the records come to.
func (h *Health) cards(tx *Tx) error {
	woods, err := All(tx, Woods)
	if err != nil {
		return err
	}
	bits := 0
	for b, err := range Each(tx, Bits) {
		if err != nil {
			return err
		}
		bits++
		c, _, err := tx.deriveCard(b.Code, woods)
		if err != nil {
			return err
		}
		want, err := json.Marshal(c)
		if err != nil {
			return err
		}
		if !bytes.Equal(tx.bucket(BitCards).Get([]byte(b.Code)), want) {
			h.found("index", "%s: the card of bit %s is not what its records come to", BitCards, b.Code)
		}
		if !h.notYet(tx, BitAges) && !bytes.Equal(tx.bucket(BitAges).Get([]byte(b.Code)), packAges(c.Lives)) {
			h.found("index", "%s: the ages of bit %s are not what its records come to", BitAges, b.Code)
		}
		if !bytes.Equal(tx.bucket(BitsBySet).Get(pair(c.Keep, []byte(b.Code))), []byte(b.Code)) {
			h.found("index", "%s misses bit %s in the set %s", BitsBySet, b.Code, c.Keep)
		}
	}
	for _, name := range cardIndexes {
		if h.notYet(tx, name) {
			continue
		}
		n := keysIn(tx.bucket(name))
		if n != bits {
			h.found("index", "%s has %d entries where the records ask for %d", name, n, bits)
		}
		h.Indexed += n
	}
	return nil
}

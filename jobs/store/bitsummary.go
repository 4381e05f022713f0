package store

import (
	"bytes"
	"encoding/json"

	"bookmatch/jobs"
)

// A summary is what the records of one bit come to: the lives of its edges. It is
// made from records and is none itself. A verdict on one bit asks for the lives of
// all bits alike, and to derive those again takes the uses of twenty years.
// Whatever touches the records of a bit, an undo or an import too, makes its
// summary again in the same transaction; `data check` holds each against the
// records.
//
// Holes of a bit that nobody remembers are in no summary: they may be any bit's,
// and are few.
type summary struct {
	Lives []jobs.EdgeLife `json:"lives"`
}

// BitSummaries is the bucket of the summaries: code -> summary.
const BitSummaries = "ix_bit_summaries"

// touch notes whose summary a written record makes out of date.
func (tx *Tx) touch(bucket string, key []byte, docs ...[]byte) error {
	switch bucket {
	case Bits.bucket:
		tx.dirty(string(key))
	case Edges.bucket:
		code, _, _ := bytes.Cut(key, []byte{0})
		tx.dirty(string(code))
	case BitUses.bucket, BitMoves.bucket:
		for _, raw := range docs {
			var of struct {
				Bit string `json:"bit"`
			}
			if raw == nil {
				continue
			}
			if err := json.Unmarshal(raw, &of); err != nil {
				return damaged(bucket, key, err)
			}
			tx.dirty(of.Bit)
		}
	case Woods.bucket:
		tx.woods = true
	}
	return nil
}

func (tx *Tx) dirty(code string) {
	if tx.dirtyBits == nil {
		tx.dirtyBits = map[string]bool{}
	}
	tx.dirtyBits[code] = true
}

// freshen rebuilds the out of date summaries. Who reads summaries, and the end of the
// transaction, calls it.
func (tx *Tx) freshen() error {
	if len(tx.dirtyBits) == 0 && !tx.woods {
		return nil
	}
	if tx.woods { // a factor wears every edge
		cur := tx.bucket(Bits.bucket).Cursor()
		for k, _ := cur.First(); k != nil; k, _ = cur.Next() {
			tx.dirty(string(k))
		}
	}
	codes := jobs.SortedKeys(tx.dirtyBits)
	tx.dirtyBits, tx.woods = nil, false
	woods, err := All(tx, Woods)
	if err != nil {
		return err
	}
	for _, code := range codes {
		raw, err := tx.summarise(code, woods)
		switch {
		case err != nil:
			return err
		case raw == nil:
			err = tx.bucket(BitSummaries).Delete([]byte(code))
		default:
			err = tx.bucket(BitSummaries).Put([]byte(code), raw)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// summarise works the summary of a bit out from its records, sealed; nil where
// there is no such bit.
func (tx *Tx) summarise(code string, woods []jobs.Wood) ([]byte, error) {
	bit, ok, err := Get(tx, Bits, code)
	if err != nil || !ok {
		return nil, err
	}
	book := jobs.BitBook{Woods: woods}
	if err := tx.addRecords(&book, code); err != nil {
		return nil, err
	}
	doc, err := json.Marshal(summary{book.OwnLives(bit)})
	return seal([]byte(code), doc), err
}

// fillSummaries rebuilds every summary.
func (tx *Tx) fillSummaries() error {
	if err := tx.empty(BitSummaries); err != nil {
		return err
	}
	tx.woods = true
	return tx.freshen()
}

// lives reads the summary of a bit; none where there is no such bit.
func (tx *Tx) lives(code string) ([]jobs.EdgeLife, error) {
	if err := tx.freshen(); err != nil {
		return nil, err
	}
	var s summary
	_, err := tx.readSealed(BitSummaries, "summary of bit", []byte(code), &s)
	return s.Lives, err
}

// PresentLife gives the life that a bit leads now. It is empty where there is no
// such bit.
func (tx *Tx) PresentLife(code string) (jobs.EdgeLife, error) {
	lives, err := tx.lives(code)
	if err != nil || len(lives) == 0 {
		return jobs.EdgeLife{}, err
	}
	return lives[len(lives)-1], nil
}

// addAges adds the ages of a bit's edges to a list.
func (tx *Tx) addAges(code string, class jobs.BitClass, list []jobs.EdgeAge) ([]jobs.EdgeAge, error) {
	lives, err := tx.lives(code)
	for _, l := range lives {
		list = append(list, l.Age(class))
	}
	return list, err
}

// BitsIn gives the bits that are kept for something now, in order of code.
func (tx *Tx) BitsIn(keep string) ([]jobs.Bit, error) {
	bits, _, err := tx.BitsAndLives(keep)
	return bits, err
}

// BitsAndLives gives the bits that are kept for something now, in order of code,
// each with the life that it leads.
func (tx *Tx) BitsAndLives(keep string) (bits []jobs.Bit, lives []jobs.EdgeLife, err error) {
	all, err := All(tx, Bits)
	if err != nil {
		return nil, nil, err
	}
	for _, b := range all {
		own, err := tx.lives(b.Code)
		if err != nil {
			return nil, nil, err
		}
		if n := len(own); n > 0 && own[n-1].Keep == keep {
			bits, lives = append(bits, b), append(lives, own[n-1])
		}
	}
	return bits, lives, nil
}

// summaries finds summaries that are not what the records come to.
func (h *Health) summaries(tx *Tx) error {
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
		want, err := tx.summarise(b.Code, woods)
		if err != nil {
			return err
		}
		if !bytes.Equal(tx.bucket(BitSummaries).Get([]byte(b.Code)), want) {
			h.found("index", "%s: the summary of bit %s is not what its records come to", BitSummaries, b.Code)
		}
	}
	n := keysIn(tx.bucket(BitSummaries))
	if n != bits {
		h.found("index", "%s has %d entries where the records ask for %d", BitSummaries, n, bits)
	}
	h.Indexed += n
	return nil
}

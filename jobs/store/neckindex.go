package store

import (
	"bytes"
	"slices"
	"strings"

	"bookmatch/jobs"
)

// Twenty years of necks are read from their records only by who needs them all.
// Who looks for one by name, or for those on the bench, reads an index.

// statusKeys lists a neck under its status.
func statusKeys(n *jobs.Neck) [][]byte { return [][]byte{[]byte(n.Status)} }

// nameKeys lists a neck under its code and its nickname, open ones apart.
func nameKeys(n *jobs.Neck) [][]byte {
	state := "open"
	if n.IsClosed() {
		state = "closed"
	}
	keys := [][]byte{pair(state, []byte(n.Code))}
	if n.Nickname != "" && n.Nickname != n.Code {
		keys = append(keys, pair(state, []byte(n.Nickname)))
	}
	return keys
}

// NecksOf gives the necks of some states, in order of code.
func (tx *Tx) NecksOf(states ...jobs.Status) ([]jobs.Neck, error) {
	var out []jobs.Neck
	for _, s := range states {
		some, err := By(tx, Necks, NecksByStatus, string(s))
		if err != nil {
			return nil, err
		}
		out = append(out, some...)
	}
	slices.SortFunc(out, func(a, b jobs.Neck) int { return strings.Compare(a.Code, b.Code) })
	return out, nil
}

// BenchNecks gives the necks that are not closed: open and held ones.
func (tx *Tx) BenchNecks() ([]jobs.Neck, error) { return tx.NecksOf(jobs.Open, jobs.Held) }

// neckNames gives code, nickname and whether it is closed of every neck, in
// order of code, without reading the records.
func (tx *Tx) neckNames() []jobs.Neck {
	byCode := map[string]*jobs.Neck{}
	cur := tx.bucket(NecksByName).Cursor()
	for k, code := cur.First(); k != nil; k, code = cur.Next() {
		n := byCode[string(code)]
		if n == nil {
			n = &jobs.Neck{Code: string(code), Status: jobs.Open}
			byCode[n.Code] = n
		}
		parts := bytes.SplitN(k, []byte{0}, 3)
		if len(parts) != 3 {
			continue // data check finds it
		}
		if string(parts[0]) == "closed" {
			n.Status = jobs.Finished
		}
		if name := string(parts[1]); name != n.Code {
			n.Nickname = name
		}
	}
	out := make([]jobs.Neck, 0, len(byCode))
	for _, code := range jobs.SortedKeys(byCode) {
		out = append(out, *byCode[code])
	}
	return out
}

// NeckNames gives what some necks are called, by code.
func (tx *Tx) NeckNames(codes map[string]bool) map[string]string {
	out := make(map[string]string, len(codes))
	cur := tx.bucket(NecksByName).Cursor()
	for k, code := cur.First(); k != nil; k, code = cur.Next() {
		if !codes[string(code)] {
			continue
		}
		_, rest, _ := bytes.Cut(k, []byte{0})
		name, _, _ := bytes.Cut(rest, []byte{0})
		if _, known := out[string(code)]; !known || !bytes.Equal(name, code) {
			out[string(code)] = string(name)
		}
	}
	return out
}

// FindNeck resolves a code, nickname or unique prefix of either. Otherwise
// *jobs.NotFoundError with the nearest, or *jobs.ConflictError naming those it
// may mean.
func (tx *Tx) FindNeck(word string) (jobs.Neck, error) {
	if n, ok, err := Get(tx, Necks, word); ok || err != nil {
		return n, err
	}
	found, err := jobs.FindNeck(word, tx.neckNames())
	if err != nil {
		return jobs.Neck{}, err
	}
	n, ok, err := Get(tx, Necks, found.Code)
	if err == nil && !ok {
		err = damaged(Necks.noun, []byte(found.Code), errNotThere)
	}
	return n, err
}

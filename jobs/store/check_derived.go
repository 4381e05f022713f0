package store

// references finds records that name others which are not there.
func (h *Health) references(tx *Tx) error {
	has := func(c anyCollection) func(string) bool {
		names := map[string]bool{}
		cur := tx.bucket(c.name()).Cursor()
		for k, _ := cur.First(); k != nil; k, _ = cur.Next() {
			names[string(k)] = true
		}
		return func(name string) bool { return names[name] }
	}
	necks, operations, supplies, bits := has(Necks), has(Operations), has(Supplies), has(Bits)
	entry := func(id uint64) bool { return id == 0 || tx.bucket(Entries.name()).Get(idKey(id)) != nil }
	on := 0
	for e, err := range Each(tx, Entries) {
		if err != nil {
			return err
		}
		if !operations(e.Operation) {
			h.found("reference", "entry %d is of the operation %q, which is not there", e.ID, e.Operation)
		}
		for _, s := range e.Shares {
			if !necks(s.Neck) {
				h.found("reference", "entry %d is work on neck %q, which is not there", e.ID, s.Neck)
			}
		}
		if e.Running() {
			on++
		}
	}
	if on > 1 {
		h.found("reference", "%d entries are on at once", on)
	}
	for l, err := range Each(tx, Lots) {
		if err != nil {
			return err
		}
		if !supplies(l.Supply) {
			h.found("reference", "lot %d is of supply %q, which is not there", l.ID, l.Supply)
		}
	}
	for u, err := range Each(tx, Uses) {
		if err != nil {
			return err
		}
		if !supplies(u.Supply) || u.Neck != "" && !necks(u.Neck) || !entry(u.Entry) {
			h.found("reference", "supply use %d names supply %q, neck %q, entry %d, of which one is not there", u.ID, u.Supply, u.Neck, u.Entry)
		}
	}
	for u, err := range Each(tx, BitUses) {
		if err != nil {
			return err
		}
		if u.Bit != "" && !bits(u.Bit) || u.Neck != "" && !necks(u.Neck) || !entry(u.Entry) {
			h.found("reference", "bit use %d names bit %q, neck %q, entry %d, of which one is not there", u.ID, u.Bit, u.Neck, u.Entry)
		}
	}
	for p, err := range Each(tx, Plans) {
		if err != nil {
			return err
		}
		if !necks(p.Neck) {
			h.found("reference", "plan %d is of neck %q, which is not there", p.Version, p.Neck)
		}
	}
	return nil
}

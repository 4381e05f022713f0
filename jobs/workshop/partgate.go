package workshop

import (
	"fmt"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// partsHere stops work that needs the parts of a neck until they are in the shop.
// Anyway gives a reason that passes over it. Rework is not stopped: the parts were
// there the first time.
func (b *Book) partsHere(o jobs.Operation, class jobs.Class, necks []jobs.NeckState, anyway string) error {
	if !o.Hardware || class == jobs.Rework {
		return nil
	}
	for _, st := range necks {
		p, missing, err := b.missingPart(st.Neck)
		if err != nil {
			return err
		}
		if !missing {
			continue
		}
		text := fmt.Sprintf("%s for %s not here: %s", p.Name, st.Neck.Name(), p.Where(b.today()))
		if anyway != "" {
			b.Warnf("parts", "%s. Started anyway.", text)
			continue
		}
		r := jobs.Refuse("parts", text, fmt.Sprintf("part set %d --here", p.ID), fmt.Sprintf("on %s %s --anyway \"a part from the drawer\"", o.Name, jobs.NeckNames(necks)))
		r.Anyway = true
		if p.Arrives > b.today() {
			at := p.Arrives.Noon()
			r.Lifts = &at
		}
		return r
	}
	return nil
}

// missingPart gives the first part of a neck that is not in the shop. A closed neck
// needs no parts.
func (b *Book) missingPart(n jobs.Neck) (jobs.Part, bool, error) {
	if n.IsClosed() {
		return jobs.Part{}, false, nil
	}
	parts, err := store.By(b.Tx, store.Parts, store.PartsByNeck, n.Code)
	if err != nil {
		return jobs.Part{}, false, err
	}
	for _, p := range parts {
		if p.Missing(b.today()) {
			return p, true, nil
		}
	}
	return jobs.Part{}, false, nil
}

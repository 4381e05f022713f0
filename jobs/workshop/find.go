package workshop

import (
	"fmt"
	"iter"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// FindAsk looks for text in everything that was written down.
type FindAsk struct {
	Asked
	Text string `json:"text" word:"TEXT..."`
}

// FindResult is where the text is. Capitals do not matter.
type FindResult struct {
	Meta
	Text string `json:"text" own:"words"`
	Hits []Hit  `json:"hits"`
}

// Hit is one place where a text was found. Code is the record's own name, Neck the
// neck it is about, and Type the command that shows it.
type Hit struct {
	What string `json:"what"`
	Code string `json:"code"`
	Neck string `json:"neck"`
	Text string `json:"text" own:"words"`
	Type string `json:"type"`
}

// Find looks for text.
var Find = Define("find", "", Long, (*Book).find)

// lookup gathers hits.
type lookup struct {
	book *Book
	want string
	hits []Hit
}

func (b *Book) find(ask *FindAsk, res *FindResult) error {
	l := lookup{book: b, want: strings.ToLower(strings.TrimSpace(ask.Text))}
	if len([]rune(l.want)) < 2 {
		return &jobs.FieldError{Field: "text", Value: ask.Text, Want: "two letters or more"}
	}
	for _, look := range []func(*lookup) error{(*lookup).necks, (*lookup).quotes, (*lookup).entries, (*lookup).parts, (*lookup).pieces, (*lookup).bits, (*lookup).supplies, (*lookup).reasons} {
		if err := look(&l); err != nil {
			return err
		}
	}
	res.Text, res.Hits = strings.TrimSpace(ask.Text), append([]Hit{}, l.hits...)
	return nil
}

// try adds a hit for each of the texts that holds what is looked for.
func (l *lookup) try(what, code, neck, typed string, texts ...string) {
	for _, t := range texts {
		if strings.Contains(strings.ToLower(t), l.want) {
			name := ""
			if neck != "" {
				name = l.book.NameOf(neck)
			}
			l.hits = append(l.hits, Hit{What: what, Code: code, Neck: name, Text: t, Type: typed})
		}
	}
}

// eachOf walks a collection and stops at a record that cannot be read.
func eachOf[T any](all iter.Seq2[T, error], fn func(T)) error {
	for x, err := range all {
		if err != nil {
			return err
		}
		fn(x)
	}
	return nil
}

func (l *lookup) necks() error {
	return eachOf(store.Each(l.book.Tx, store.Necks), func(n jobs.Neck) {
		show := "neck show " + n.Name()
		l.try("title", n.Code, n.Code, show, n.Title)
		l.try("nickname", n.Code, n.Code, show, n.Nickname)
		l.try("customer", n.Code, n.Code, show, n.Customer)
		l.try("reason", n.Code, n.Code, show, n.Why)
		l.try("papers", n.Code, n.Code, show, n.Papers)
		for _, x := range n.Notes {
			l.try("note", n.Code, n.Code, show+" --why", x.Text)
			l.try("photo", n.Code, n.Code, show+" --why", x.Photo)
		}
		for _, p := range n.Payments {
			l.try("payment", n.Code, n.Code, show, p.Note)
		}
		for _, s := range n.Steps {
			l.try("step", fmt.Sprint(s.No), n.Code, show+" --steps", s.Note, s.Skip)
		}
	})
}

func (l *lookup) quotes() error {
	if err := eachOf(store.Each(l.book.Tx, store.Quotes), func(q jobs.Quote) {
		show := "quote show " + q.Code
		l.try("quote", q.Code, first(q.Necks), show, q.Code, q.Title, q.Customer, q.Why)
		for _, c := range q.Changes {
			l.try("quote change", q.Code, first(q.Necks), show, c.What)
		}
	}); err != nil {
		return err
	}
	seen := map[string]bool{}
	return eachOf(store.Each(l.book.Tx, store.Revisions), func(r jobs.Revision) {
		if key := r.Quote + r.Ask.Note; !seen[key] {
			seen[key] = true
			l.try("quote note", r.Quote, "", "quote show "+r.Quote, r.Ask.Note)
		}
	})
}

func first(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

func (l *lookup) entries() error {
	at := len(l.hits)
	err := eachOf(store.Each(l.book.Tx, store.Entries), func(e jobs.Entry) {
		neck, show := "", fmt.Sprintf("entry list --evening %s", l.book.Shop.Evening(e.From))
		if len(e.Shares) > 0 {
			neck = e.Shares[0].Neck
		}
		code := fmt.Sprint(e.ID)
		l.try("person", code, neck, show, e.Person)
		l.try("anyway", code, neck, show, e.Anyway)
		l.try("entry", code, neck, show, e.Note)
	})
	slices.Reverse(l.hits[at:]) // the newest first
	return err
}

func (l *lookup) parts() error {
	return eachOf(store.Each(l.book.Tx, store.Parts), func(p jobs.Part) {
		l.try("part", fmt.Sprint(p.ID), p.Neck, "part list "+l.book.NameOf(p.Neck), p.Name, p.Note, p.Delivery)
	})
}

func (l *lookup) pieces() error {
	return eachOf(store.Each(l.book.Tx, store.Pieces), func(p jobs.Piece) {
		l.try("piece", p.Code, p.Neck, "piece list --all", p.Note, p.Papers)
	})
}

func (l *lookup) bits() error {
	if err := eachOf(store.Each(l.book.Tx, store.Bits), func(x jobs.Bit) {
		l.try("bit", x.Code, "", "bit show "+x.Code, x.Note)
	}); err != nil {
		return err
	}
	if err := eachOf(store.Each(l.book.Tx, store.BitUses), func(u jobs.BitUse) {
		l.try("bit use", u.Bit, u.Neck, "bit show "+u.Bit, u.Note)
	}); err != nil {
		return err
	}
	return eachOf(store.Each(l.book.Tx, store.BitMoves), func(m jobs.BitMove) {
		l.try("bit move", m.Bit, "", "bit show "+m.Bit, m.Note)
	})
}

func (l *lookup) supplies() error {
	if err := eachOf(store.Each(l.book.Tx, store.Supplies), func(s jobs.Supply) {
		l.try("supply", s.Name, "", "supply show "+s.Name, s.Title, s.Label, s.Note)
	}); err != nil {
		return err
	}
	if err := eachOf(store.Each(l.book.Tx, store.Lots), func(x jobs.Lot) {
		l.try("lot", fmt.Sprint(x.ID), "", "supply show "+x.Supply, x.Note)
	}); err != nil {
		return err
	}
	return eachOf(store.Each(l.book.Tx, store.Uses), func(u jobs.SupplyUse) {
		l.try("supply use", fmt.Sprint(u.ID), u.Neck, "supply show "+u.Supply, u.Reason, u.Note)
	})
}

// reasons looks in the reasons of the journal, the newest first. A reason that a
// record holds was found already.
func (l *lookup) reasons() error {
	known := map[string]bool{}
	for _, h := range l.hits {
		known[h.Text] = true
	}
	return eachOf(store.Changes(l.book.Tx, true), func(c store.Change) {
		if !known[c.Why] {
			l.try("reason", fmt.Sprint(c.Seq), "", "data history", c.Why)
		}
	})
}

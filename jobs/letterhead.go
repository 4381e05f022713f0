package jobs

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Letterhead is what the shop says of itself on papers that leave it. Each part may
// be empty; a paper leaves it out then.
type Letterhead struct {
	Address   string `json:"address,omitempty"` // lines parted by commas
	Contact   string `json:"contact,omitempty"` // likewise
	TaxNumber string `json:"tax_number,omitempty"`
	Bank      string `json:"bank,omitempty"`
	Logo      string `json:"logo,omitempty"`      // path of a PNG or JPEG
	Font      string `json:"font,omitempty"`      // path of a TrueType font
	Exemption string `json:"exemption,omitempty"` // what a shop says that is not registered for tax
	// Care are the shop's own lines on how a neck is looked after.
	Care [careLines]string `json:"care,omitzero"`
}

// careLines is how many lines of care a shop has.
const careLines = 6

// Lines parts an address or the like at its commas.
func Lines(text string) []string {
	var out []string
	for _, l := range strings.Split(text, ",") {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// letterKeys are the settings of the letterhead.
func letterKeys() []ShopKey {
	keys := []ShopKey{
		wordsKey("address", "the shop's address on papers, lines parted by commas", func(s *Shop) *string { return &s.Address }),
		wordsKey("contact", "mail, telephone, page, parted by commas", func(s *Shop) *string { return &s.Contact }),
		wordsKey("tax-number", "as it is printed on papers", func(s *Shop) *string { return &s.TaxNumber }),
		wordsKey("bank", "where customers pay", func(s *Shop) *string { return &s.Bank }),
		wordsKey("logo", "a PNG or JPEG where letters would show the name; its path is kept", func(s *Shop) *string { return &s.Logo }),
		wordsKey("font", "a TrueType font for letters that papers lack; its path is kept", func(s *Shop) *string { return &s.Font }),
		wordsKey("exemption", "the sentence of a shop that charges no tax", func(s *Shop) *string { return &s.Exemption }),
	}
	for i := range careLines {
		keys = append(keys, wordsKey(fmt.Sprintf("care-%d", i+1), "a line on how a neck is looked after", func(s *Shop) *string { return &s.Care[i] }))
	}
	return keys
}

// wordsKey is a setting of words that may be empty.
func wordsKey(key, help string, field func(*Shop) *string) ShopKey {
	return ShopKey{key, help, func(s *Shop) string { return *field(s) }, func(s *Shop, v string) error { return setWords(key, v, field(s)) }}
}

// mostWords is the longest text of a setting or an address, in letters.
const mostWords = 300

func setWords(field, v string, to *string) error {
	if utf8.RuneCountInString(v) > mostWords {
		return &FieldError{field, v, fmt.Sprintf("at most %d letters", mostWords)}
	}
	*to = strings.TrimSpace(v)
	return nil
}

// Customer is someone for whom necks are made, with what a letter needs. Necks and
// quotes name customers; only one with an address has a record.
type Customer struct {
	Name    string `json:"customer"`
	Address string `json:"address,omitempty"` // lines parted by commas
	Contact string `json:"contact,omitempty"`
}

// SetAddress puts in what a letter needs.
func (c *Customer) SetAddress(v string) error { return setWords("address", v, &c.Address) }

// SetContact puts in a mail address or a telephone number.
func (c *Customer) SetContact(v string) error { return setWords("contact", v, &c.Contact) }

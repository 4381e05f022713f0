package reports

import (
	"strings"

	"github.com/xuri/excelize/v2"
)

// The house look of a workbook: one sans serif face that every office has, ink
// on white, a tinted header, hair rules, and colour only where a cell warns.
const (
	faceName = "Arial"
	bodySize = 10.0

	inkColor   = "2B2622"
	greyColor  = "7A736B"
	headFill   = "E9E1D3"
	groupFill  = "F5F1EA"
	ruleColor  = "8C8172"
	hairColor  = "DDD6CA"
	inputFill  = "FFF6D6"
	goodColor  = "2F6B4F"
	carefulInk = "8A5A00"
	badColor   = "A3262A"
)

// paints are the colours of charts: dark and light alternate, so that the
// series stay apart on a grey printer and for most colour-blind readers.
var paints = map[Paint]string{
	Walnut: "5A3E2B", Brass: "D9A441", Spruce: "2F6B5B", Sand: "CDBFA3", Slate: "3F5E7D",
	Cherry: "B4533C", Moss: "8FA84A", Plum: "6B4566", Smoke: "9A9A9A",
}

// paintOrder is the order in which series take colours.
var paintOrder = []Paint{Walnut, Brass, Spruce, Sand, Slate, Cherry, Moss, Plum, Smoke}

// role is the part a cell plays on its sheet.
type role int

const (
	roleBody role = iota
	roleHead
	roleGroup
	roleSub
	roleTotal
	roleTitle
	roleSubtitle
	roleNote
	roleInput
	roleRuled
)

type styleKey struct {
	role   role
	format string
	right  bool
	apart  bool // text that follows a right-aligned column
	wrap   bool
	grey   bool
	tone   Tone
}

// styles hands out style numbers, one for each look in use.
type styles struct {
	f    *excelize.File
	made map[styleKey]int
	err  error
}

func (s *styles) id(k styleKey) int {
	if id, ok := s.made[k]; ok {
		return id
	}
	id, err := s.f.NewStyle(k.style())
	if err != nil && s.err == nil {
		s.err = err
	}
	s.made[k] = id
	return id
}

func (k styleKey) style() *excelize.Style {
	font := &excelize.Font{Family: faceName, Size: bodySize, Color: inkColor}
	st := &excelize.Style{Font: font, Alignment: &excelize.Alignment{Vertical: "top", WrapText: k.wrap}}
	if k.right {
		st.Alignment.Horizontal, st.Alignment.Indent = "right", 1
	} else {
		st.Alignment.Horizontal = "left" // dates too stand where their header does
		if k.apart {
			st.Alignment.Indent = 1
		}
	}
	if k.format != "" {
		st.CustomNumFmt = &k.format
	}
	switch k.tone {
	case Good:
		font.Color = goodColor
	case Careful:
		font.Color, font.Bold = carefulInk, true
	case Bad:
		font.Color, font.Bold = badColor, true
	}
	if k.grey {
		font.Color, font.Italic = greyColor, true
	}
	rule := func(edge, color string, weight int) {
		st.Border = append(st.Border, excelize.Border{Type: edge, Color: color, Style: weight})
	}
	tint := func(color string) {
		st.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{color}}
	}
	switch k.role {
	case roleBody:
		rule("bottom", hairColor, 7)
	case roleHead:
		font.Bold, st.Alignment.WrapText, st.Alignment.Vertical = true, true, "bottom"
		tint(headFill)
		rule("bottom", ruleColor, 2)
	case roleGroup:
		font.Bold = true
		tint(groupFill)
	case roleSub:
		font.Bold = true
		rule("top", ruleColor, 1)
	case roleTotal:
		font.Bold = true
		rule("top", ruleColor, 2)
	case roleTitle:
		font.Size, font.Bold = 16, true
	case roleSubtitle:
		font.Color = greyColor
	case roleNote:
		font.Size, font.Color = 9, greyColor
	case roleRuled:
		for _, edge := range []string{"top", "bottom", "left", "right"} {
			rule(edge, ruleColor, 1)
		}
	case roleInput:
		tint(inputFill)
		for _, edge := range []string{"top", "bottom", "left", "right"} {
			rule(edge, ruleColor, 1)
		}
		st.Protection = &excelize.Protection{Locked: false}
	}
	return st
}

// format is the number format of a cell, "" for text.
func (v view) format(c Cell, col Column) string {
	switch c.kind {
	case KindText, KindFlag:
		return ""
	case KindDate:
		return "yyyy-mm-dd"
	case KindInstant:
		return "yyyy-mm-dd hh:mm"
	case KindClock:
		return "hh:mm"
	case KindMoney:
		return "#,##0" + decimals(moneyPlaces(col, v.currency))
	case KindChance:
		return `[<0.01]"under 1 %";[>0.99]"over 99 %";0 %`
	case KindShare:
		if !c.dec.IsZero() && c.dec.Abs().LessThan(percent1) {
			return "0.0 %"
		}
		return `[=0]"none";0 %`
	case KindHours:
		return "#,##0" + decimals(max(2, places(c, col)))
	case KindQuantity:
		_, frac, _ := strings.Cut(trimmed(c.dec, places(c, col)), ".")
		return "#,##0" + decimals(len(frac))
	case KindCount:
		return "#,##0"
	}
	return "#,##0" + decimals(places(c, col))
}

func decimals(n int) string {
	if n <= 0 {
		return ""
	}
	return "." + strings.Repeat("0", n)
}

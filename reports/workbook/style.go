package workbook

import (
	"strings"

	"bookmatch/reports"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"
)

// The house look of a workbook: one sans serif face that every office has, ink
// on white, a tinted header, hair rules, and colour only where a cell warns.
const (
	faceName = "Arial"
	bodySize = 10.0

	greyColor  = "7A736B"
	headFill   = "E9E1D3"
	groupFill  = "F5F1EA"
	inputFill  = "FFF6D6"
	goodColor  = "2F6B4F"
	carefulInk = "8A5A00"
)

// paintOrder is the order in which series take colours.
var paintOrder = []reports.Paint{reports.Walnut, reports.Brass, reports.Spruce, reports.Sand, reports.Slate, reports.Cherry, reports.Moss, reports.Plum, reports.Smoke}

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
	tone   reports.Tone
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
	font := &excelize.Font{Family: faceName, Size: bodySize, Color: reports.InkColour}
	st := &excelize.Style{Font: font, Alignment: &excelize.Alignment{Vertical: "center", WrapText: k.wrap}}
	if k.right {
		st.Alignment.Horizontal, st.Alignment.Indent = "right", 1
	} else {
		st.Alignment.Horizontal = "left" // dates too are where their header does
		if k.apart {
			st.Alignment.Indent = 1
		}
	}
	if k.format != "" {
		st.CustomNumFmt = &k.format
	}
	switch k.tone {
	case reports.Good:
		font.Color = goodColor
	case reports.Careful:
		font.Color, font.Bold = carefulInk, true
	case reports.Bad:
		font.Color, font.Bold = reports.BadColour, true
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
		rule("bottom", reports.HairColour, 7)
	case roleHead:
		font.Bold, st.Alignment.WrapText, st.Alignment.Vertical = true, true, "bottom"
		tint(headFill)
		rule("bottom", reports.RuleColour, 2)
	case roleGroup:
		font.Bold = true
		tint(groupFill)
	case roleSub:
		font.Bold = true
		rule("top", reports.RuleColour, 1)
	case roleTotal:
		font.Bold = true
		rule("top", reports.RuleColour, 2)
	case roleTitle:
		font.Size, font.Bold = 16, true
	case roleSubtitle:
		font.Color = greyColor
	case roleNote:
		font.Size, font.Color = 9, greyColor
	case roleRuled:
		for _, edge := range []string{"top", "bottom", "left", "right"} {
			rule(edge, reports.RuleColour, 1)
		}
	case roleInput:
		tint(inputFill)
		for _, edge := range []string{"top", "bottom", "left", "right"} {
			rule(edge, reports.RuleColour, 1)
		}
		st.Protection = &excelize.Protection{Locked: false}
	}
	return st
}

var onePercent = decimal.New(1, -2)

// numberFormat is the number format of a cell, "" for text.
func numberFormat(v reports.Format, c reports.Cell, col reports.Column) string {
	switch c.Kind() {
	case reports.KindText, reports.KindFlag:
		return ""
	case reports.KindDate:
		return "yyyy-mm-dd"
	case reports.KindInstant:
		return "yyyy-mm-dd hh:mm"
	case reports.KindClock:
		return "hh:mm"
	case reports.KindMoney:
		return "#,##0" + decimals(v.Places(c, col))
	case reports.KindChance:
		return `[<0.01]"under 1 %";[>0.99]"over 99 %";0 %`
	case reports.KindShare:
		if !c.Decimal().IsZero() && c.Decimal().Abs().LessThan(onePercent) {
			return "0.0 %"
		}
		return `[=0]"none";0 %`
	case reports.KindHours:
		return "#,##0" + decimals(max(2, v.Places(c, col)))
	case reports.KindQuantity:
		_, frac, _ := strings.Cut(c.Decimal().Round(int32(v.Places(c, col))).String(), ".")
		return "#,##0" + decimals(len(frac))
	case reports.KindCount:
		return "#,##0"
	}
	return "#,##0" + decimals(v.Places(c, col))
}

func decimals(n int) string {
	if n <= 0 {
		return ""
	}
	return "." + strings.Repeat("0", n)
}

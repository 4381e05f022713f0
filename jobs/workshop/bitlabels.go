package workshop

import (
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
)

// BitLabelsAsk asks for labels of bits, on plain paper or on a sheet of labels.
type BitLabelsAsk struct {
	Asked
	Bits   []string `json:"bits,omitempty" word:"[BIT...]"`
	Labels string   `json:"labels,omitempty" flag:"labels" arg:"COLSxROWS" help:"labels on a sheet, such as 3x8"`
	Size   string   `json:"label_size,omitempty" flag:"label-size" arg:"WxH" help:"size of one label in mm, such as 63.5x33.9"`
	Start  int      `json:"start,omitempty" flag:"start" arg:"N" help:"the first label that is left on the sheet"`
}

// LabelSheet is a sheet of labels. Across is 0 for plain paper.
type LabelSheet struct {
	Across   int     `json:"across"`
	Down     int     `json:"down"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
	Start    int     `json:"start"` // counts from 1, along the rows
}

// BitLabelsResult is the bits to label and the sheet they go on.
type BitLabelsResult struct {
	BitsResult
	Sheet LabelSheet `json:"sheet"`
}

// BitLabels gathers the bits to label.
var BitLabels = Define("paper labels", "", Reads, (*Book).bitLabels)

// Limits of a label in mm: below them nothing on it could be read.
const (
	LeastLabelWide = 48.0
	LeastLabelTall = 30.5
)

func (b *Book) bitLabels(ask *BitLabelsAsk, res *BitLabelsResult) error {
	if err := b.bitList(&BitListAsk{}, &res.BitsResult); err != nil {
		return err
	}
	if len(ask.Bits) > 0 {
		var codes []string
		for _, word := range ask.Bits {
			bit, err := b.FindBit(word)
			if err != nil {
				return err
			}
			codes = append(codes, bit.Code)
		}
		res.BitsResult.Bits = slices.DeleteFunc(res.BitsResult.Bits, func(r BitRow) bool { return !slices.Contains(codes, r.Bit) })
	}
	res.Sheet.Start = max(ask.Start, 1)
	if ask.Labels == "" && ask.Size == "" {
		if ask.Start > 1 {
			return &jobs.FieldError{Field: "start", Value: strconv.Itoa(ask.Start), Want: "--labels and --label-size with it, such as --labels 3x8 --label-size 63.5x33.9"}
		}
		return nil
	}
	return res.Sheet.read(ask)
}

// read reads the sheet as it was typed.
func (s *LabelSheet) read(ask *BitLabelsAsk) error {
	two := func(text string) (a, b float64, ok bool) {
		x, y, ok := strings.Cut(strings.ToLower(strings.ReplaceAll(text, " ", "")), "x")
		a, err1 := strconv.ParseFloat(x, 64)
		b, err2 := strconv.ParseFloat(y, 64)
		return a, b, ok && err1 == nil && err2 == nil
	}
	across, down, ok := two(ask.Labels)
	s.Across, s.Down = int(across), int(down)
	if !ok || across != float64(s.Across) || down != float64(s.Down) || s.Across < 1 || s.Down < 1 || s.Across > 10 || s.Down > 30 {
		return &jobs.FieldError{Field: "labels", Value: ask.Labels, Want: "labels across and down, such as 3x8"}
	}
	s.WidthMM, s.HeightMM, ok = two(ask.Size)
	if !ok || s.WidthMM < LeastLabelWide || s.HeightMM < LeastLabelTall || s.WidthMM*across > 216 || s.HeightMM*down > 297 {
		return &jobs.FieldError{Field: "label-size", Value: ask.Size, Want: "width and height in mm, such as 63.5x33.9: at least 48x30.5, and all of them on one sheet"}
	}
	if s.Start > s.Across*s.Down {
		return &jobs.FieldError{Field: "start", Value: strconv.Itoa(ask.Start), Want: "a label of the sheet, from 1 to " + strconv.Itoa(s.Across*s.Down)}
	}
	return nil
}

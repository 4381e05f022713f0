package layout

import (
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
)

// ReadPoints reads a table of marks as CSV. With the columns hole, x_mm, y_mm
// each line is a mark; with hole, from, mm each line is a distance, from being
// "end", "edge" or the number of another hole. One file may hold both: a line
// leaves the columns it does not use empty. The columns x_in, y_in and in are
// inches. A value may say its own unit: measured reads it, or a number in the
// unit of its column. Errors are *SpecError with the line.
func ReadPoints(text string, measured func(s, unit string) (mm float64, err error)) ([]Mark, []Reading, error) {
	if len(text) > maxSpecBytes {
		return nil, nil, specErr("points", nil, "at most %d bytes", maxSpecBytes)
	}
	text = cleanText(text)
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	r.Comment = '#'
	if first, _, _ := strings.Cut(text, "\n"); strings.Count(first, ";") > strings.Count(first, ",") {
		r.Comma = ';'
	}
	rows, err := r.ReadAll()
	if err != nil {
		return nil, nil, specErr("points", nil, "not a readable table: %s", clip(err.Error(), 80))
	}
	if len(rows) == 0 {
		return nil, nil, specErr("points", nil, "the table is empty")
	}
	col := map[string]int{}
	known := []string{"hole", "x_mm", "y_mm", "from", "mm", "x_in", "y_in", "in"}
	for i, name := range rows[0] {
		name = strings.ToLower(strings.TrimSpace(name))
		if !slices.Contains(known, name) {
			return nil, nil, specErr("points", name, "columns are hole, x_mm, y_mm or hole, from, mm; the nearest is %q", nearest(name, known))
		}
		if _, twice := col[name]; twice {
			return nil, nil, specErr("points", name, "the column is there twice")
		}
		col[name] = i
	}
	has := func(names ...string) bool {
		for _, n := range names {
			_, mm := col[n]
			if _, in := col[inchColumn(n)]; !mm && !in {
				return false
			}
		}
		return true
	}
	if !has("hole", "x_mm", "y_mm") && !has("hole", "from", "mm") {
		return nil, nil, specErr("points", strings.Join(rows[0], ","), "columns hole, x_mm, y_mm or hole, from, mm are needed")
	}
	var marks []Mark
	var readings []Reading
	for i, row := range rows[1:] {
		get := func(name string) string {
			if k, ok := col[name]; ok && k < len(row) {
				return strings.TrimSpace(row[k])
			}
			return ""
		}
		mark, reading, serr := pointLine(get, measured, i+2)
		switch {
		case serr != nil:
			return nil, nil, serr
		case mark != nil:
			marks = append(marks, *mark)
		case reading != nil:
			readings = append(readings, *reading)
		}
	}
	if len(marks)+len(readings) == 0 {
		return nil, nil, specErr("points", nil, "the table has a heading but no marks")
	}
	return marks, readings, nil
}

// inchColumn is the column of inches for one of millimetres.
func inchColumn(name string) string {
	switch name {
	case "x_mm", "y_mm", "mm":
		return strings.TrimSuffix(name, "mm") + "in"
	}
	return name
}

func pointLine(get func(string) string, measured func(s, unit string) (float64, error), line int) (*Mark, *Reading, *SpecError) {
	number := func(name string) (float64, *SpecError) {
		text, unit := get(name), "mm"
		if text == "" && get(inchColumn(name)) != "" {
			text, unit = get(inchColumn(name)), "in"
		}
		if v, ok := decimal(text); ok && unit == "mm" {
			return v, nil
		}
		v, err := measured(text, unit)
		if err != nil {
			return 0, specErr(name, text, "a number in %s (line %d)", unit, line)
		}
		return v, nil
	}
	hole, err := strconv.Atoi(get("hole"))
	if err != nil {
		return nil, nil, specErr("hole", get("hole"), "a string's number (line %d)", line)
	}
	if from := get("from"); from != "" {
		mm, serr := number("mm")
		if serr != nil {
			return nil, nil, serr
		}
		r := ReadingOf(hole, from, mm)
		if r.From == "" {
			return nil, nil, specErr("from", from, "end, edge or a hole's number (line %d)", line)
		}
		return nil, &r, nil
	}
	x, serr := number("x_mm")
	if serr != nil {
		return nil, nil, serr
	}
	y, serr := number("y_mm")
	if serr != nil {
		return nil, nil, serr
	}
	return &Mark{Hole: hole, XMM: x, YMM: y}, nil, nil
}

// ReadingOf makes a reading from a typed word: "end", "edge" or a hole's
// number. From is empty when the word is none of these.
func ReadingOf(hole int, from string, mm float64) Reading {
	switch from {
	case "end", "edge":
		return Reading{Hole: hole, From: from, MM: mm}
	}
	if to, err := strconv.Atoi(from); err == nil {
		return Reading{Hole: hole, From: "hole", To: to, MM: mm}
	}
	return Reading{}
}

// decimal reads 12.5 and 12,5.
func decimal(s string) (float64, bool) {
	if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	if s == "" || strings.Trim(s, "+-0123456789.eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && !math.IsInf(v, 0)
}

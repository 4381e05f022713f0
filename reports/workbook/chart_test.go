package workbook

import (
	"html"
	"regexp"
	"strings"
	"testing"

	"bookmatch/reports/reporttest"

	"github.com/xuri/excelize/v2"
)

// Every chart has a title, names on both axes, and series that point at
// numbers. openpyxl and LibreOffice read the file as well.
func TestWorkbookCharts(t *testing.T) {
	file := writeBook(t, reporttest.Example())
	if n := fullCharts(t, file); n != 5 {
		t.Errorf("%d charts, want 5", n)
	}
}

var (
	valueRange = regexp.MustCompile(`<(val|yVal|cat|xVal)><(?:numRef|strRef)><f>([^<]*)</f>`)
	titleText  = regexp.MustCompile(`<a:t>([^<]*)</a:t>`)
)

// fullCharts fails for a chart without titles or without numbers, and returns
// how many there are.
func fullCharts(t testing.TB, file string) int {
	t.Helper()
	f := openBook(t, file)
	n := 0
	f.Pkg.Range(func(key, value any) bool {
		name, _ := key.(string)
		if !strings.HasPrefix(name, "xl/charts/chart") {
			return true
		}
		n++
		part := string(value.([]byte))
		if k := len(titleText.FindAllString(part, -1)); k != 3 {
			t.Errorf("%s has %d titles, want one for the chart and one for each axis", name, k)
		}
		numbers := 0
		for _, m := range valueRange.FindAllStringSubmatch(part, -1) {
			cells := rangeValues(t, f, m[2])
			if len(cells) == 0 {
				t.Errorf("%s points at nothing: %s", name, m[2])
			}
			if m[1] == "val" || m[1] == "yVal" {
				for _, c := range cells {
					if c != "" && regexp.MustCompile(`^-?[0-9.]+(E-?[0-9]+)?$`).MatchString(c) {
						numbers++
					}
				}
			}
		}
		if numbers == 0 {
			t.Errorf("%s draws no number", name)
		}
		return true
	})
	return n
}

func rangeValues(t testing.TB, f *excelize.File, r string) []string {
	t.Helper()
	sheet, cells, ok := strings.Cut(strings.ReplaceAll(html.UnescapeString(r), "$", ""), "!")
	if !ok {
		t.Fatalf("range %q", r)
	}
	from, to, _ := strings.Cut(cells, ":")
	x, y1, err := excelize.CellNameToCoordinates(from)
	if err != nil {
		t.Fatal(err)
	}
	_, y2, err := excelize.CellNameToCoordinates(to)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for y := y1; y <= y2; y++ {
		v, err := f.GetCellValue(strings.Trim(sheet, "'"), ref(x, y), excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

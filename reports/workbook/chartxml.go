package workbook

import (
	"regexp"
	"strings"
)

// The chart writer below us knows no series name but a reference, and it gives
// every title a second, upright text body that
// some readers take instead of the turned one. These few marks are put right
// in the chart parts themselves (ECMA-376 part 1, 21.2).
const (
	literalMark = "\u2039name\u203a"
	unseenName  = "unseen"
)

var (
	uprightBody = regexp.MustCompile(`<txPr><a:bodyPr[^>]*></a:bodyPr><a:p></a:p></txPr></title>`)
	literalName = regexp.MustCompile(`<tx><strRef><f>` + literalMark + `([^<]*)</f>(?:<strCache>.*?</strCache>)?</strRef></tx>`)
)

// mendCharts rewrites every chart part.
func (b *book) mendCharts() {
	b.f.Pkg.Range(func(key, value any) bool {
		name, _ := key.(string)
		part, ok := value.([]byte)
		if ok && strings.HasPrefix(name, "xl/charts/chart") {
			b.f.Pkg.Store(key, []byte(mendChart(string(part))))
		}
		return true
	})
}

func mendChart(s string) string {
	s = uprightBody.ReplaceAllString(s, "</title>")
	s = literalName.ReplaceAllString(s, "<tx><v>$1</v></tx>")
	if strings.Contains(s, `<barDir val="bar">`) {
		s = turnTitle(s, "catAx", `rot="0"`, `rot="-5400000" vert="horz"`)
		s = turnTitle(s, "valAx", `rot="-5400000" spcFirstLastPara="false" vert="horz"`, `rot="0"`)
	}
	return s
}

// turnTitle changes the writing direction in the title of one axis: lying bars
// have their names on the upright axis.
func turnTitle(s, axis, from, to string) string {
	a := strings.Index(s, "<"+axis+">")
	z := strings.Index(s, "</"+axis+">")
	if a < 0 || z < a {
		return s
	}
	return s[:a] + strings.Replace(s[a:z], from, to, 1) + s[z:]
}

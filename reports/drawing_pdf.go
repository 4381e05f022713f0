package reports

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"time"
)

var (
	pdfDate  = regexp.MustCompile(`/CreationDate ?\(D:[0-9]{14}(Z|[+-][0-9]{4})\)`)
	pdfStart = regexp.MustCompile(`startxref\n([0-9]+)\n`)
	pdfEntry = regexp.MustCompile(`(?m)^([0-9]{10}) 00000 n $`)
)

// datePDF puts the given time in the place of the one at which the library
// wrote the file, so that equal drawings are equal files; a zero time leaves
// no date. The date lies behind every stream, so the offsets that move are
// those of the objects after it and of the cross reference table (ISO 32000-1,
// 7.5.4).
func datePDF(data []byte, made time.Time) ([]byte, error) {
	at := pdfDate.FindIndex(data)
	end := bytes.LastIndex(data, []byte("endstream"))
	if at == nil || at[0] < end {
		return nil, fmt.Errorf("the PDF library wrote no creation date where it used to")
	}
	date := ""
	if !made.IsZero() {
		date = "/CreationDate(D:" + made.UTC().Format("20060102150405") + "Z)"
	}
	shift := len(date) - (at[1] - at[0])
	out := append([]byte(nil), data[:at[0]]...)
	out = append(out, date...)
	out = append(out, data[at[1]:]...)
	m := pdfStart.FindSubmatchIndex(out)
	if m == nil {
		return nil, fmt.Errorf("the PDF library wrote no cross reference table")
	}
	start, err := strconv.Atoi(string(out[m[2]:m[3]]))
	if err != nil {
		return nil, err
	}
	start += shift
	if start < 0 || start > len(out) || !bytes.HasPrefix(out[start:], []byte("xref\n")) {
		return nil, fmt.Errorf("the PDF's cross reference table is not where it should be")
	}
	tail := pdfEntry.ReplaceAllFunc(out[start:m[0]], func(e []byte) []byte {
		off, err := strconv.Atoi(string(e[:10]))
		if err != nil || off <= at[0] {
			return e
		}
		return fmt.Appendf(nil, "%010d 00000 n ", off+shift)
	})
	res := append([]byte(nil), out[:start]...)
	res = append(res, tail...)
	return fmt.Appendf(res, "startxref\n%d\n%s", start, out[m[1]:]), nil
}

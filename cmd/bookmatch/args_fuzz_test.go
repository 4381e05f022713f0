package main

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bytes"
	"strings"
	"testing"
	"time"
)

// testEnv is an environment without a home, a clock or a terminal of its own.
func testEnv(vars map[string]string) (e *env, out, errOut *bytes.Buffer) {
	out, errOut = &bytes.Buffer{}, &bytes.Buffer{}
	now := time.Date(2026, 11, 24, 19, 0, 0, 0, time.UTC)
	return newEnv(&words.Env{In: strings.NewReader(""), Out: out, ErrOut: errOut, Now: func() time.Time { return now }, Getenv: func(k string) string { return vars[k] }}), out, errOut
}

// A list of any bytes is read or refused; what is read keeps to its limits and
// makes rows that can be looked at.
func FuzzReadCSV(f *testing.F) {
	for _, s := range []string{
		"date,operation\n2026-01-05,drill\n", "a;b\n1;2\n", "a\tb\n1\t2\n", "\xef\xbb\xbfdate\n2026-01-05", "date\n\"2026", "\xff\xfe", "", "\n\n\n", "a,b\n1,2,3\n", "a\r\n\"x\ny\"\r\n", "=a,+b\n@c,-d\n", strings.Repeat(",", 300),
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		l, err := readCSV(raw, "list.csv")
		if err != nil {
			return
		}
		if len(l.head) == 0 || len(l.head) > maxListCols {
			t.Fatalf("a head of %d columns", len(l.head))
		}
		for i, r := range l.rows {
			if r.no < 1 || i > 0 && r.no <= l.rows[i-1].no || len(r.cells) > maxListCols {
				t.Fatalf("row %d: %+v", i, r)
			}
		}
		for _, as := range workshop.BringKinds() {
			fields, err := mapColumns(l.head, nil, as)
			if err != nil {
				t.Fatalf("columns of their own name: %v", err)
			}
			if rows := l.rowsBy(fields, nil, as); len(rows) != len(l.rows) {
				t.Fatalf("%d rows of %d", len(rows), len(l.rows))
			}
		}
	})
}

func FuzzReadSheet(f *testing.F) {
	book := sheetOf(f, [][]any{{"date", "from", "operation"}, {46350.0, 0.8125, "drill"}, {"2026-01-05", "19:30", "=1+1"}})
	f.Add(book)
	f.Add(book[:len(book)/2])
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		l, err := readSheet(raw, "list.xlsx", "")
		if err == nil && len(l.head) == 0 {
			t.Error("a list without a head")
		}
	})
}

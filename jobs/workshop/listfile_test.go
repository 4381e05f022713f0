package workshop

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

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
		for _, as := range BringKinds() {
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

// Dates and times of day as spreadsheets keep them. 2026-11-24 is day 46350
// counted from 1899-12-30 (46350 = 36526, which is 2000-01-01 in every
// spreadsheet, + 9824 days); 0.8125 of a day is 19:30.
func TestSheetTimes(t *testing.T) {
	for _, c := range []struct {
		v         string
		clock     bool
		from1904  bool
		day, text string
	}{
		{"46350", false, false, "", "2026-11-24"},
		{"36526", false, false, "", "2000-01-01"},
		{"0.8125", true, false, "", "19:30"},
		{"46350.8125", true, false, "2026-11-24", "19:30"},
		{"46350.999999", true, false, "2026-11-25", "00:00"},
		{"44888", false, true, "", "2026-11-24"},
		{"19:30", true, false, "", "19:30"},
		{"2026-11-24", false, false, "", "2026-11-24"},
		{"-1", false, false, "", "-1"},
		{"1e9", false, false, "", "1e9"},
		{"NaN", false, false, "", "NaN"},
	} {
		l := list{from1904: c.from1904}
		if day, text := l.sheetTime(c.v, c.clock); day != c.day || text != c.text {
			t.Errorf("%s: got %q %q, want %q %q", c.v, day, text, c.day, c.text)
		}
	}
}

func TestMapColumns(t *testing.T) {
	got, err := mapColumns([]string{"Date", "Was", "operation", "x=y"}, []string{"was=neck", "x=y=note", "3=operation"}, "entries")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(map[int]string{0: "date", 1: "neck", 2: "operation", 3: "note"}, got); diff != "" {
		t.Error(diff)
	}
	for _, maps := range [][]string{{"was"}, {"=date"}, {"was=colour"}, {"9=date"}, {"Date=date", "Was=date"}} {
		if _, err := mapColumns([]string{"Date", "Was"}, maps, "entries"); err == nil {
			t.Errorf("%q: taken", maps)
		}
	}
}

package screen

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"bookmatch/reports"
	"bookmatch/reports/reporttest"

	"github.com/google/go-cmp/cmp"
)

// RFC 4180, section 2: records end in CRLF, fields with comma, quote or line
// end are quoted, quotes inside are doubled. Python's csv is the other reader.
func TestCSV(t *testing.T) {
	r := reporttest.Example()
	r.Tables()[0].Rows[1].Cells[12] = reports.Text("say \"no\", then\nwait")
	var b bytes.Buffer
	if err := CSV(&b, r, ""); err != nil {
		t.Fatal(err)
	}
	if strings.Count(b.String(), "\r\n") != 6 || strings.Contains(strings.ReplaceAll(b.String(), "\r\n", ""), "\n") {
		t.Errorf("records must end in CRLF:\n%q", b.String())
	}
	rows, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"2026-03-30", "drill", "2026-03-30T23:12:00+02:00", "2026-03-31T00:12:00+02:00", "102", "1.7", "62.05", "6", "10.583333", "0.304", "0.25", "false", `say "no", then wait`}
	if d := cmp.Diff(want, rows[2]); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if rows[5][1] != "'=1+1" || rows[1][12] != "'"+reporttest.Note {
		t.Errorf("text that a spreadsheet would run: %q, %q", rows[5][1], rows[1][12])
	}
	if rows[3][9] != "" {
		t.Errorf("not recorded must be empty, is %q", rows[3][9])
	}
	file := t.TempDir() + "/t.csv"
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out := reporttest.Python(t, "csv", `
import sys, csv, json
print(json.dumps(list(csv.reader(open(sys.argv[1], newline="", encoding="utf-8"), strict=True))))`, file)
	var theirs [][]string
	if err := json.Unmarshal([]byte(out), &theirs); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(rows, theirs); d != "" {
		t.Errorf("Python reads (-ours +theirs):\n%s", d)
	}
}

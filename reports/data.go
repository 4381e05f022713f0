package reports

import (
	"fmt"
	"path/filepath"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// FileSize prints a size in bytes for people.
func FileSize(n int64) string {
	if n < 1<<20 {
		return fmt.Sprintf("%d kB", (n+1023)>>10)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/(1<<20))
}

// healthLines says what a check saw.
func healthLines(h workshop.Health) []string {
	if h.Sound() {
		records := 0
		for _, r := range h.Records {
			records += r.Records
		}
		lines := []string{fmt.Sprintf("Sound: %d records, %d index entries, %d changes, schema %d.", records, h.Indexed, h.Changes, h.Schema)}
		for _, name := range h.Left {
			lines = append(lines, "Left behind by a command that was cut off: "+name+". The next change removes it.")
		}
		return lines
	}
	var lines []string
	for _, t := range h.Troubles {
		lines = append(lines, t.Where+": "+t.Text)
	}
	return lines
}

// foundLine counts what a check found.
func foundLine(h workshop.Health) string {
	return jobs.CountText(len(h.Troubles)+h.More, "problem") + " found."
}

// BackupMade is the echo of a backup.
func BackupMade(r *workshop.BackupResult) Report {
	out := Report{Name: "backup", Headline: []string{fmt.Sprintf("SAVED %s, %s.", r.Copy.Path, FileSize(r.Copy.Bytes))}}
	for _, gone := range r.Removed {
		out.Headline = append(out.Headline, fmt.Sprintf("Removed %s, beyond the %d kept.", filepath.Base(gone), r.Kept))
	}
	out.Headline = append(out.Headline, healthLines(r.Health)...)
	return out
}

// Checked is what data check saw.
func Checked(r *workshop.CheckResult) Report {
	out := Report{Name: "check"}
	if r.Sound() {
		out.Headline = append(healthLines(r.Health), fmt.Sprintf("File %s, %s.", r.Path, FileSize(r.Bytes)))
		return out
	}
	out.Headline = append([]string{foundLine(r.Health) + " File " + r.Path + ", " + FileSize(r.Bytes) + "."}, healthLines(r.Health)...)
	out.Headline = append(out.Headline, "See the backups. Type: data restore")
	return out
}

// History lists changes, newest first.
func History(r *workshop.HistoryResult) Report {
	out := Report{Name: "history", Title: "Changes, newest first", Made: r.Made, Headline: []string{jobs.CountText(len(r.Changes), "change") + ", newest first."}}
	type p = workshop.Past
	out.Add(Build(Table{Name: "history", Empty: "No change yet."}, r.Changes, []Col[p]{
		{Column{Key: "change", Header: "no", Kind: KindCount}, func(x p) Cell { return Count(int(x.Seq)) }},
		{Column{Key: "at", Header: "when"}, func(x p) Cell { return Text(x.At.Format("2006-01-02 15:04")) }},
		{Column{Key: "command", Header: "what", Max: 40}, func(x p) Cell {
			words := workshop.WordsOf(x.Verb, x.Ask)
			if x.Undone {
				words += " (undone)"
			}
			return Text(words)
		}},
		{Column{Key: "by", Header: "by", At: Why}, func(x p) Cell { return Text(x.By) }},
		{Column{Key: "records", Header: "records"}, func(x p) Cell { return Text(x.What()) }},
	}))
	return out
}

// Restored lists the backups, or says what became of one.
func Restored(r *workshop.RestoreResult) Report {
	if r.From == "" {
		return backups(r)
	}
	out := Report{Name: "restore"}
	if !r.Health.Sound() {
		out.Headline = append([]string{"NOT CHANGED: " + r.From + " is not sound. " + foundLine(*r.Health)}, healthLines(*r.Health)...)
		return out
	}
	switch {
	case !r.Placed:
		out.Headline = []string{fmt.Sprintf("Nothing was changed. Without --dry-run %s takes the place of the file.", r.From)}
	case r.Was == "":
		out.Headline = []string{"SAVED: " + r.From + " is in place."}
	default:
		out.Headline = []string{"SAVED: " + r.From + " is in place.", "Your file from before is kept: " + r.Was, "To go back, type: data restore " + r.Was}
	}
	out.Headline = append(append(out.Headline, lossLines(*r.Lost)...), healthLines(*r.Health)...)
	return out
}

// lossLines lists the changes that a backup lacks.
func lossLines(l workshop.Loss) (lines []string) {
	switch {
	case l.Unknown != "":
		lines = append(lines, "What is lost cannot be said: "+l.Unknown+".")
	case len(l.Changes) == 0:
		lines = append(lines, "Nothing is lost: the backup has every change of the file.")
	default:
		lines = append(lines, fmt.Sprintf("Lost since the backup: %s.", jobs.CountText(len(l.Changes)+l.More, "change")))
		for _, ch := range l.Changes {
			lines = append(lines, fmt.Sprintf("%d  %s  %s", ch.Seq, ch.At.Format("2006-01-02 15:04 UTC"), workshop.WordsOf(ch.Verb, ch.Ask)))
		}
		if l.More > 0 {
			lines = append(lines, fmt.Sprintf("and %d before those", l.More))
		}
	}
	if l.Apart > 0 {
		lines = append(lines, fmt.Sprintf("The backup has %s that the file lacks.", jobs.CountText(l.Apart, "change")))
	}
	return lines
}

func backups(r *workshop.RestoreResult) Report {
	out := Report{Name: "backups", Title: "Backups of " + r.File, Headline: []string{fmt.Sprintf("%s of %s.", jobs.CountText(len(r.Copies), "backup"), r.File)}}
	if len(r.Copies) == 0 && len(r.Kept) == 0 {
		out.Headline = []string{"No backup of " + r.File + " yet.", "Make one. Type: data backup"}
		return out
	}
	type c = workshop.Copy
	out.Add(Build(Table{Name: "copies", Empty: "No dated backup."}, r.Copies, []Col[c]{
		{Column{Key: "copy", Header: "backup"}, func(x c) Cell { return Text(filepath.Base(x.Path)) }},
		{Column{Key: "size", Header: "size"}, func(x c) Cell { return Text(FileSize(x.Bytes)) }},
		{Column{Key: "made", Header: "written"}, func(x c) Cell { return Text(x.Made.Format("2006-01-02 15:04 UTC")) }},
	}))
	if len(r.Kept) > 0 {
		out.Notes = append(out.Notes, "Kept from a restore or an import: "+strings.Join(r.Kept, ", "))
	}
	if len(r.Copies) > 0 {
		out.Next = []string{"data restore " + string(r.Copies[0].Day)}
	}
	return out
}

// rowsShown is how many rows of a list a person is shown of each sort.
const rowsShown = 20

// Imported says what became of an import.
func Imported(r *workshop.ImportResult) Report {
	if r.Health != nil {
		return exportIn(r)
	}
	out := Report{Name: "import", Title: fmt.Sprintf("%d rows of %s", r.Rows, r.As)}
	switch {
	case len(r.Rejected) > 0:
		out.Headline = []string{fmt.Sprintf("NOT CHANGED: %d of %d rows cannot be brought in.", len(r.Rejected), r.Rows)}
	case !r.Kept:
		out.Headline = []string{fmt.Sprintf("Nothing was changed. Without --dry-run %s are made.", jobs.CountText(len(r.Create), "record"))}
	default:
		out.Headline = []string{fmt.Sprintf("SAVED %s. Wrong? Type: oops", jobs.CountText(len(r.Create), "record"))}
	}
	if len(r.Create) > 0 && (r.Kept || r.DryRun) {
		shown := r.Create[:min(len(r.Create), rowsShown)]
		t := Build(Table{Name: "create"}, shown, []Col[workshop.Creation]{
			{Column{Key: "row", Header: "row", Kind: KindCount}, func(x workshop.Creation) Cell { return Count(x.Row) }},
			{Column{Key: "what", Header: "becomes"}, func(x workshop.Creation) Cell { return Text(x.Text) }},
		})
		if n := len(r.Create) - len(shown); n > 0 {
			t.Note("and %d more rows", n)
		}
		out.Add(t)
	}
	if len(r.Rejected) > 0 {
		out.Add(Build(Table{Name: "rejected"}, r.Rejected, []Col[workshop.Rejected]{
			{Column{Key: "row", Header: "row", Kind: KindCount}, func(x workshop.Rejected) Cell { return Count(x.Row) }},
			{Column{Key: "reason", Header: "cannot be brought in"}, func(x workshop.Rejected) Cell { return Text(x.Reason) }},
		}))
	}
	if len(r.Unused) > 0 {
		out.Notes = append(out.Notes, "Columns not used: "+strings.Join(r.Unused, ", "))
	}
	if r.Skipped > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("%d rows were there already and were left out.", r.Skipped))
	}
	for _, n := range r.Necks {
		out.Notes = append(out.Notes, "Neck "+n+" takes what belongs to no neck.")
	}
	return out
}

func exportIn(r *workshop.ImportResult) Report {
	out := Report{Name: "import"}
	switch {
	case !r.Health.Sound():
		out.Headline = []string{"NOT CHANGED: " + r.Health.Path + " does not hold together. " + foundLine(*r.Health)}
	case !r.Placed:
		out.Headline = []string{"Nothing was changed. Without --dry-run it becomes " + r.File + "."}
	case r.Was != "":
		out.Headline = []string{"SAVED: imported into " + r.File + ".", "Your file from before is kept: " + r.Was}
	default:
		out.Headline = []string{"SAVED: imported into " + r.File + "."}
	}
	out.Headline = append(out.Headline, healthLines(*r.Health)...)
	return out
}

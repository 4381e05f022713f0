// Package reports turns results into tables, and tables into what people
// read: the terminal (80 columns, no colour needed), CSV, JSON and workbooks
// with live formulas and charts; it also draws.
//
// One model serves every output. A report is a list of tables; a table is
// columns and rows of typed cells; each column's kind settles alignment,
// number format and unit once. A builder function turns a result into a
// Report and nothing else; terminal.go, csv.go, json.go and workbook.go render
// any Report. So a new report is one file, a new column one line, and a new
// output one file.
//
// Units: lengths in mm, spans as time.Duration shown in minutes or hours,
// amounts exact, chances and shares as fractions from 0 to 1. A unit stands in
// the header, never in a number cell. "Not recorded" is a cell of its own and
// never zero. Times show in the shop's zone, named once per report.
//
// The package may import all of this module but the store.
package reports

// Package reports turns results into reports: what every output draws.
//
// One model serves every output. A report is a headline, sections, notes and
// what to type next. A section is a table or a drawing; a table is columns and
// rows of typed cells. Each column's kind settles alignment, number format and
// unit once. A view is a function from a result to a Report and nothing else. The
// outputs are rooms of their own and draw any Report: reports/screen (terminal,
// CSV, JSON), reports/workbook. So a new report is one file, a new column one
// line, and a new output one room.
//
// A column is declared with the function that gets its cell (Col, Build), so
// that no cell meets its column by position. Sections and columns say at which
// depth they belong; Report.At keeps those of a depth.
//
// Units: lengths in mm, spans as time.Duration shown in minutes or hours,
// amounts exact, chances and shares as fractions from 0 to 1. A unit is in
// the header, never in a number cell. "Not recorded" is a cell of its own and
// never zero. Times show in the shop's zone, named once per report.
//
// The package may import all of this module but the store and the outputs.
package reports

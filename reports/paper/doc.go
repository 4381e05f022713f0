// Package paper puts pictures and templates on paper: it has the surfaces of
// package draw for PDF, SVG and PNG, the faces, and the template of a headstock.
// Only this package knows the PDF library and the fonts.
//
// Type is Liberation Sans (SIL Open Font License 1.1), regular and bold. A PDF
// carries the letters it uses, so its words can be selected. A letter that the
// face lacks is printed as its code, U+674E, and named in a warning.
//
// The same input gives the same bytes: dates come from the record, never from
// the clock.
package paper

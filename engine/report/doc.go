// Package report turns results into what people and spreadsheets read: text
// for a terminal, CSV, and drawings as SVG.
//
// # Conventions
//
//   - What is shown to people is rounded: by the uncertainty if there is
//     one, else to five significant digits. What is written for programs is
//     not: every number in a CSV reads back as the same number.
//   - Texts come from untrusted scripts. Package plain makes them safe for the
//     terminal, in a CSV and in a drawing.
//   - The output is a function of the results and the options.
//
// # What there is
//
// [Terminal] prints results, [Changes] two results beside each other. [CSV] and [TableCSV] write tables; a table's columns are followed by their
// uncertainties ([TableColumns]). [PlotSVG] and [DiagramSVG] render drawings. These are our own SVG, without scripts, fonts or links to elsewhere.
//
// # Where it ends
//
// The package writes to an io.Writer and knows no folder. Where a file is kept is packages archive and store.
package report

// Package report turns results into what people and spreadsheets read: text
// for a terminal, CSV, and drawings as SVG.
//
// Conventions that hold everywhere in this package:
//
//   - What is shown to people is rounded: by the uncertainty if there is
//     one, else to five significant digits. What is written for programs is
//     not: every number in a CSV reads back as the same number.
//   - Texts come from untrusted scripts. On a terminal their control
//     characters are replaced, so that none moves the cursor; in a CSV a text
//     never becomes a spreadsheet's formula, in a drawing never markup.
//   - The output is a function of the results and the options.
package report

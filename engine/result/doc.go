// Package result holds what a run concluded: values, tables, plots, diagrams, corrections and notes.
//
// Results are a function of the script and the journal and of nothing else: no times, no ids of runs, no pauses.
//
// # Conventions
//
//   - A number is finite. NaN and infinities are refused where they come in,
//     so that none travels on into a report.
//   - Two numbers are the same when they agree within 1e-9 relative or 1e-12
//     absolute (see [Same]), which is what two processors may differ by.
//   - Every value, table and plot has a name for people and an id for
//     machines. An id is made of a-z, 0-9 and single hyphens, is at most
//     maxID bytes long, and is used once among its kind.
//   - Text is valid UTF-8; bytes that are not become U+FFFD as they come in.
//   - A script is untrusted, so the amount of each thing is bounded.
//
// # Formats
//
// The JSON form of [Results] has a format with a version, and a reader refuses a newer one. Only what is used raises it: results with
// corrections have the format 2, results with draws the format 3, results with former ids the format 4, results with doubts of any kind the format 5, results with numbers
// from readings against which something stands the format 6, all others the format 1, as they always had. So the files of an old run do not
// change when it is written again.
//
// # Comparing
//
// [Compare] lists what differs between two results, one [Difference] each. A value that was renamed lists its former ids (Formerly of [Value]), and is
// compared with the one that had them.
//
// # Where it ends
//
// The package does no input or output. Texts, CSV and drawings are package report, files package store, uncertainties package uncertainty.
package result

// Package result holds what a run concluded: values, tables, plots and notes.
//
// Results are a function of the script and the journal and of nothing else:
// no times, no ids of runs, no pauses. The package does no I/O.
//
// Conventions that hold everywhere in this package:
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
// The JSON form of [Results] carries format; a reader refuses a newer one.
package result

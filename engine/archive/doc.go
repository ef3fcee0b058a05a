// Package archive writes the results of an execution into a run's folder.
//
// [WriteConclusions] writes results.json, the tables, the drawings, the corrections that the run made, and readings.csv.
// [MetaOf] makes run.json, which is written last by whoever writes a folder: a run.json of another end than the journal's
// says that a crash came between ([Meta.Follows]).
//
// # Conventions
//
//   - Everything that is written here can be made again from scripts and journal. Nothing is read back to decide how a
//     run goes on.
//   - Each file is complete or not there: package store replaces files so that no crash leaves half of one.
//   - The columns of readings.csv and those of a table are part of a format. A new column goes to the end, and readers go by names.
//   - What people share of a simulated run says that it was simulated, each file by itself: CSV files by a last column, simulated, which
//     is true in every row, so that they stay plain RFC 4180; drawings in their corner and title; corrections by a comment. A file of a
//     run with real instruments has none of it.
//
// # Adding a file
//
// Package report renders, package store names the file and says its format, and this package joins the two. So package
// store renders nothing, and package report knows no folder.
//
// # Where it ends
//
// Names, locks and formats of files are package store. What a folder says is judged by package survey.
package archive

// Package store keeps run folders: where each file is, who may write, and how a file is replaced so that no crash leaves half of it.
//
//	run.json           what was asked                  {"format":1,"kind":"candelua-run",…}
//	journal.jsonl      what happened; package journal writes it
//	procedure/         the exact scripts used
//	former/1/…         scripts that a resume replaced, the oldest first
//	results.json       what was concluded              {"format":1,"kind":"candelua-results",…}
//	readings.csv       every reading                   readings.json says its format and columns
//	tables/*.csv       the script's tables, with u     tables/tables.json says their format and columns
//	corrections/*.toml corrections that the run made   corrections/corrections.json lists them
//	replays/1/…        results of replays with something changed, or with other draws; replay.json says which
//	plots/*.svg        plots and diagrams as SVG       plots/plots.json lists them
//	<name>-found-1.<ending>       what another program had put in the place of a file of the run, such as journal-found-1.jsonl
//	journal-damaged-1.jsonl       what a repair cut from the journal
//	results-before-repair-1.json  what was concluded before that
//	lock               locked while the run is open to be written
//	lock.json          who has it open                 {"format":1,"kind":"candelua-lock",…}
//
// # Conventions
//
//   - The package renders nothing. Whoever calls hands over what writes a file ([Table], [Drawing]).
//   - Each kind of file has a format with a version, and a reader refuses a newer one ([result.ErrNewer]). What has been released stays readable.
//   - A CSV has no comment line, because common readers would take that for data. Its format's version is in the JSON file beside it.
//   - All names that come from scripts are checked (name.go), and all files are reached through [os.Root]. So neither a name nor a symbolic link in a
//     folder from elsewhere leads out of the run's folder.
//
// # Files that people pass on
//
// Results, tables, readings, drawings and corrections are read by people and their programs. So the sum of each is taken as it is written, and kept in
// run.json ([Run.Sums], [Run.Changed]). A sum is of what was written then: a later version that draws otherwise accuses no drawing.
//
// # What another program does to the folder
//
// It may remove, rename or replace the folder, or a file in it, while a run is in progress. [Run.Secure] makes the folder anew with its scripts, and
// package journal does so with the journal. What stands in the place of a file or folder that is to be written is renamed, never deleted.
//
// # Files that are whole or not there
//
// A file is written under another name, synced, and renamed (replace.go). A folder that has several files, such as tables, has an index that is
// written last; the next writing removes files that the index named and that are gone. A replay's folder is made under a name that begins with a point,
// and renamed when it is complete ([Replay]). The journal is the one file that grows in place.
//
// # Who may write
//
// [Open] locks a folder, and the lock goes with the process. [Look] and [OpenReadOnly] lock nothing. lock.json says who holds a lock, for people only.
//
// # Where it ends
//
// What is in the files is packages journal, result, report and archive. Which of them is believed is package survey.
package store

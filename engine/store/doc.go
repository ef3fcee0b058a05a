// Package store keeps run folders: where each file lies, who may write, and
// how a file is replaced so that no crash leaves half of it.
//
//	run.json           what was asked                  {"format":1,"kind":"candelua-run",…}
//	journal.jsonl      what happened; package journal writes it
//	procedure/         the exact scripts used
//	former/1/…         scripts that a resume replaced, the oldest first
//	results.json       what was concluded              {"format":1,"kind":"candelua-results",…}
//	readings.csv       every reading                   readings.json says its format and columns
//	tables/*.csv       the script's tables, with u     tables/tables.json says their format and columns
//	corrections/*.toml corrections that the run made   corrections/corrections.json lists them
//	replays/1/…        what replays with something changed, or with other draws, came to; replay.json says with what
//	plots/*.svg        plots and diagrams, drawn       plots/plots.json lists them
//	journal-damaged-1.jsonl       what a repair cut from the journal
//	results-before-repair-1.json  what was concluded before that
//	lock               locked while the run is open to be written
//	lock.json          who has it open                 {"format":1,"kind":"candelua-lock",…}
//
// A CSV stays pure, without a comment line, because common readers would take
// that for data; so its format's version stands in the JSON file beside it.
//
// All names that come from scripts are checked (see checkName), and all
// files are reached through [os.Root], so that neither a name nor a symbolic
// link in a folder from elsewhere leads out of the run's folder.
//
// A reader refuses a file of a newer format ([result.ErrNewer]).
package store

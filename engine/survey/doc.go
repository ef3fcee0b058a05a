// Package survey looks at run folders, says how runs stand, and repairs a damaged one.
//
// # Conventions
//
//   - Looking writes nothing and holds no lock, so it keeps nobody from going on with a run.
//   - What is wrong with a run is part of the report on it. A list of runs does not fail because one of them cannot be read.
//   - The journal says how a run stands. run.json and the results are believed only where they agree with it.
//   - The types with JSON names are what candelua runs --json prints.
//
// # Looking
//
// [Runs] lists the runs in a folder, [Inspect] reports everything about one. "About how many steps" is the count of a run that is done,
// of the same scripts and parameters. Where there is none, the stored scripts are rehearsed in memory, on a bench that the
// caller hands over. All the rehearsals of one call have ten seconds together. No result depends on them.
//
// # Repairing
//
// [Repair] cuts the journal before the first damaged record. The order is what makes it safe:
//
//  1. The damaged end is written, and synced, to journal-damaged-<n>.jsonl.
//  2. run.json says that the run is paused.
//  3. The results, which no longer follow from the journal, become results-before-repair-<n>.json.
//  4. The journal is cut, and only where the side file holds just what is cut ([journal.Parted.Cut]).
//
// A repair that is itself cut off leaves a damaged journal, and the next one finishes. Tables, readings and drawings stay
// until a resumption writes them anew. The journal does not speak of a repair; the side file does. A damaged head is
// made again from run.json, where the journal's sums say that it is the one that was there, and nothing is cut. Without it,
// nothing can be kept, because the head says what was run.
//
// # Where it ends
//
// Damage is found by package journal. Going on with a run is package engine's.
package survey

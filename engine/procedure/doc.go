// Package procedure finds and loads procedures: the source of a script, what it requires, and the copy that a run keeps.
//
// # Conventions
//
//   - A name with a slash, or one that ends in .lua or .toml, is a path ([IsPath]). Any other is the name of a shipped
//     procedure.
//   - What a script requires is looked for beside it, then in the folder lib of what is shipped. require "lib.decay" is
//     the file lib/decay.lua.
//   - Files that people write are read by [ReadText]: regular files of at most 4 MiB. No link leads out of the folder
//     of the procedure.
//   - What cannot be found is an error of use, and its hint names what there is.
//
// # Loading
//
// [Load] compiles a script, executes its top level in a sandbox without a bench, and reads the contract. Nothing is
// touched: a step that is asked while a script loads is refused. Every file that is loaded is kept in [Loaded], the main
// script first, so that a run's folder gets an exact copy of it. After that, loading is sealed: a require inside of run
// is refused, because its file would be missing from the folder.
//
// # The stored copy
//
// [Stored] loads the scripts that a run's folder keeps, and refuses those that do not have the SHA-256 on record. It uses
// the scripts that are in effect at the end of the journal ([history.History.Scripts]), which may be edited ones. Where a
// crash came between an edit and its record, the former copy is found by its sum. A replay and a resumption execute the
// stored copy, never the file that it came from.
//
// # Where it ends
//
// What a contract may state is package script; what becomes of an execution is package play.
package procedure

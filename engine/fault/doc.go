// Package fault holds what errors have in common across packages: a code for machines, a hint that says what to do next, and who is
// to blame.
//
// # Conventions
//
//   - An error may have a method Code and a method Hint. [CodeOf] and [HintOf] find them however deep the error is wrapped.
//   - An error that matches [ErrUsage] is the caller's: nothing was run, and another name, file or value helps. [Usage] makes one.
//   - An error that matches [ErrInternal] is a bug of candelua. [Guard] makes one of a panic, such as a driver's.
//   - All other errors are shown as they are.
//   - A message says what is wrong and what is allowed. The hint says what to do. Neither ends with a full stop.
//
// [ArgError] is what is wrong with one argument, in four parts: which, what it is, what is wanted, what to do.
//
// # Where it ends
//
// Exit statuses and how errors are printed are the command line's. Errors that know a script's line are package sandbox's, those of devices
// are package bench's.
package fault

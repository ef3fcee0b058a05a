// Package history says what a journal means: who ran what, what happened between the steps,
// what was set aside, which scripts and instruments are in effect, and how the run stands.
//
// A journal is a list of records; package journal answers which step has which answer. Everything
// else that is asked of it is answered here, by one fold: [Read] takes the records one by one, and
// [History.Append] writes a record and takes it in the same way. So a history that went on with a
// run and one that was read from its file are equal.
//
// # Conventions
//
//   - Steps are numbered from 1. "In effect" means not set aside.
//   - "Before step n" also means after the last step, where n is one more than there are.
//   - Times are script time in seconds, but the length of a pause is real time.
//   - The types with JSON names are what run.json and candelua runs --json show, so their names
//     are part of a format.
//
// # The head
//
// [Head] is the journal's first record: procedure and sums of its files, parameters, seed, unit,
// mode, devices, the number of draws, and the text of each file that the run was made with. The
// head never changes. A field that is new must mean "as before" where it is missing.
//
// [Rules] is the number of the rules by which this version computes, and [Head.ByRules] that of the run's. Raise the number whenever the same script and
// the same journal may give other results; a journal of newer rules is refused.
//
// # Between the steps
//
//   - Asides: other instruments ([Devices]), an edited script ([Scripts]), a corrected bench file and
//     its drivers ([Bench]; [History.Texts] gives those in effect), what was put back when a
//     run went on ([Restore]), how it was left safe ([SafeEnd]), how often a
//     step was tried ([Tries]), and a reading that a person typed
//     before it was asked for ([Typed]).
//   - [Resume] is each record of going on. [Pause] is one that is shown to people: a run that went
//     back to a step by itself never stood still, so it has none.
//   - [History.Idle] is how long the run stood still since it was last at work. Pauses add up until
//     a step is answered that is not in an interlude, because an on_resume that was itself
//     interrupted has warmed nothing up.
//
// # Setting aside
//
// A void sets aside a step and all after it ([Void]). Nothing is deleted. What happened between the
// dropped steps is dropped too, because the bench is rebuilt from what is kept; but other
// instruments stay, since they are not part of a step. Its [Stamp] says what had gone wrong in a
// simulated world by then.
//
// A stretch that must not be interrupted (run.unbroken) can only be dropped as a whole.
// [History.Outermost] gives where it begins. [History.Interrupted] gives what must be set aside
// before a run goes on: an unbroken stretch that is open, or an on_resume that no step in
// effect follows. [History.CutOff] says that a stretch was interrupted after it had touched the bench, so
// that its before_restart must run.
//
// # Interludes
//
// An interlude is a stretch that exists only because the run was interrupted: the steps of the
// script's function on_resume or before_restart. In the journal it is an unbroken block. The data of
// the record that opens it say which of the two it is, and state the pause:
//
//	{"kind":"open","name":"on_resume","block":2,"unbroken":true,"data":{"interlude":"on_resume","pause_s":1200,"reason":"stopped by the user"},…}
//	{"kind":"ask","step":4,"name":"unit.set",…}
//	{"kind":"answer","step":4,…}
//	{"kind":"close","block":2,…}
//
// So a replay calls the same function at the same place, with the same pause. For before_restart,
// "of" is the name of the stretch that starts over. See [Interlude].
//
// # How a run stands
//
// [History.Standing] uses the words of [journal.Standing]; a run without an end was cut off, and is
// paused. [History.LastWritten] says when it was last at work: its end says the time of day, or
// after a crash the time at which the file was last written.
//
// # Where it ends
//
// The package reads no script, touches no bench and decides nothing about an execution. Its input
// is a journal.
package history

// Package engine runs procedures and keeps them reproducible. It has one function for each
// use: [Run], [Resume], [Replay], [Reanalyse] and [DrawApart].
//
// A run is a procedure that was executed on a bench, with a record of all that was asked and
// answered. An execution always does the same: it runs the script from its start, answers each
// step from the journal as far as the journal reaches, and goes live where the journal ends. A
// new run has an empty journal. A run that is resumed has a part of one. A replay has all of it
// and no bench. So what a run concludes is a function of script and journal, and of nothing else.
//
// # Words
//
//	procedure   a script with a contract: what it needs, what must be set, what can be chosen
//	bench       the instruments that a bench file names: meters, source of patches, unit, rig, operator
//	driver      what speaks to one maker's instruments
//	unit        the display under test
//	rig         what surrounds the unit: lamps, turntable, light sensor
//	patch       a coloured window on a background
//	run         one procedure on one bench with its record, however often it was interrupted
//	step        one contact with the world, with its number
//	part        a named stretch of a run
//	journal     the record of all steps, and of what happened between them
//	results     what a run concluded: values, tables, plots, notes
//	rehearsal   an execution on the simulated bench, to see how a run goes
//	trial       a procedure on simulated units, held against known truth
//
// No synonyms are used. All other words are those of CIE, ITU-R, SMPTE, IEC and IDMS.
//
// # Conventions
//
//   - Times are script time in seconds, unless a name says otherwise. Script time moves only at
//     answers, and leaves pauses out.
//   - An error that matches [fault.ErrUsage] means that nothing was run: another name, file or
//     value helps. What became of a script is not an error of the call: it is in [Report].
//   - Nothing here knows an instrument, a simulator or a terminal. Builtins, drivers and the
//     functions that ask and tell are handed over in [Setup] and [Spec].
//
// # A run, from start to end
//
//  1. The script is compiled and loaded in a sandbox without a bench, and its contract is read
//     (package procedure). Parameters and mode are checked.
//  2. The bench is opened. What the procedure needs, the settings that it states and the
//     corrections are checked against it. A caution is shown and must be accepted. Whatever
//     fails up to here leaves nothing behind.
//  3. The run's folder is made: copies of all files that were loaded, run.json, and the journal
//     last. The journal's head (history.Head) holds parameters, seed, unit, mode, devices, and
//     the bench, unit, world and correction files as they were. Scripts and journal are enough
//     to make everything else again.
//  4. Package play executes the script: first the settings (step 1, where there are any), then
//     the script's run function.
//  5. However it ends, the lamps are taken down, a dark patch is shown, and the end is put on
//     record. Results, tables, drawings and readings are written, then the uncertainties of a run
//     that is done are drawn, and run.json is written last. A run.json that says "done" therefore
//     means that everything else is there.
//
// # Going on with a run
//
// [Resume] opens the journal, drops a torn last line, and executes the stored scripts as above.
// Package play says how the run goes live again. Before that, [Resumption] can change four things:
//
//   - From sets steps aside, with a reason. They stay in the journal.
//   - With gives an edited script. It is executed over the whole journal, as no script is in effect
//     for a part of it only, and must ask for the recorded steps. When the run goes live, the former copies move to former/<n>, the new ones
//     take their place, and the journal gets an aside "scripts" with their sums. A crash between
//     the two is found by the sums.
//   - Stood says how long a simulated bench stood still.
//   - Other is asked whether other instruments may take over. They are told by name and serial
//     number, and put on record. A device that is gone, or states another firmware or accuracy, is
//     told too. On the command line this cannot happen yet: the bench file in the head is what is opened, and no
//     driver reads a serial number from its instrument.
//
// A run that is done but lost what follows from its journal, by a crash or a full disk, gets that
// written by [Resume], from the journal alone.
//
// # Looking again at the readings
//
// [Replay], [Reanalyse] and [DrawApart] are one path (look.go): the run's folder is read, and its scripts are executed over the whole journal.
//
// [Replay] makes the results again and compares them with the recorded ones. Equal means within
// [result.Same]. It draws the uncertainties as often as the run did, or as often as it is asked;
// what it draws anew is kept in replays/<n> and touches nothing else.
//
// [Reanalyse] does the same with a change: another correction of a meter, or another script that
// asks for the same steps. That works because readings are kept as the meter gave them. A
// correction ([bench.Correction]) is applied after the journal, so a run with one and a run
// without ask for the same steps. The flags of a reading, and a spectrum, stay as the meter said.
// A luminance without colour cannot be corrected, and is refused.
//
// # Runs of older versions
//
// The same script and journal may come to something else in a later version: another way to draw uncertainties, another sentence that candelua
// itself writes. The rules by which a version computes have a number ([history.Rules]), and a run's head states its own. rules.go lists what each
// number changed. A replay of an older run tells what it cannot compare for that reason ([Older]), and compares all else. Newer rules are refused.
//
// # Comparing runs
//
// [DrawApart] draws a run so that it can be compared with another one, see package draw.
//
// # Where it ends
//
// What happens between a script and a bench is package play. What a journal amounts to is package
// history, how it is stored is package journal. Finding and loading procedures is package
// procedure, writing a folder package archive, listing and repairing runs package survey.
package engine

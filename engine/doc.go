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
//	world       what is outside the script: the bench, or a simulation of it, and its time
//	door        the one way from a script to the world; package play has it
//	stretch     steps that follow one another
//	part        a stretch with a name (run.part)
//	unbroken    said of a part that must not be interrupted (run.unbroken); after an interruption it starts over
//	interlude   a stretch that exists only because the run was interrupted: on_resume or before_restart
//	guard       a control patch that is read again and again, to see whether readings can be trusted (run.guard)
//	set aside   said of steps that no longer count; the journal keeps them, and a record of it: a void
//	withdrawn   said of an answer that a person typed and took back: its step is set aside, with all after it
//	journal     the record of all steps, and of what happened between them
//	head        the journal's first record: what the run was made with
//	aside       a record of something that was no step
//	results     what a run concluded: values, tables, plots, notes
//	draw        an execution of a run's script on its readings with random errors; many of them give the uncertainties
//	rehearsal   an execution on the simulated bench, to see how a run goes
//	trial       a procedure on simulated units, held against known truth
//
// These are the main words. A unit can also be a unit of measurement, and a head the first lines of a file or the
// heading of a column. The words of measurement are those of CIE, ITU-R, SMPTE, IEC and IDMS.
//
// # Conventions
//
//   - Times are script time in seconds, unless a name says otherwise. Script time moves only at
//     answers, and leaves pauses out.
//   - An error that matches [fault.ErrUsage] means that nothing was run: another name, file or
//     value helps. What became of a script is not an error of the call: it is in [Report].
//   - Nothing here knows an instrument, a simulator or a terminal. Builtins, drivers and the
//     functions that ask and report are handed over in [Setup] and [Spec].
//
// # A run, from start to end
//
//  1. The script is compiled and loaded in a sandbox without a bench, and its contract is read
//     (package procedure). Parameters and mode are checked.
//  2. The bench is opened. What the procedure needs, the settings that it states and the
//     corrections are checked against it. Cautions (package caution) are shown, and those about people must be accepted. Whatever
//     fails up to here leaves nothing behind.
//  3. The run's folder is made: copies of all files that were loaded, run.json, and the journal
//     last. The journal's head (history.Head) holds parameters, seed, unit, mode, devices, and
//     the bench, unit, world and correction files as they were. Scripts and journal are enough
//     to make everything else again.
//  4. Package play executes the script: first the settings (step 1, where there are any), then
//     the script's run function.
//  5. However it ends, the lamps are turned off, a dark patch is shown, and the end is put on
//     record. Results, tables, drawings and readings are written, then the uncertainties of a run
//     that is done are evaluated from draws, and run.json is written last. A run.json that says "done" therefore
//     means that everything else is there.
//
// # Going on with a run
//
// [Resume] opens the journal, drops a torn last line, and executes the stored scripts as above.
// Package play says how the run goes live again. Before that, four fields of [Resumption] can change something:
//
//   - The field From is the first step that is set aside; all later steps are set aside too. Because
//     gives the reason. They stay in the journal.
//   - The field With is an edited script. It is executed over the whole journal, as no script is in effect
//     for only some of the steps, and must ask for the recorded steps. When the run goes live, the former copies move to former/<n>, the new ones
//     take their place, and the journal gets an aside "scripts" with their sums. A crash between
//     the two is found by the sums.
//   - The field Stood says how long a simulated bench stood still.
//   - The field Other is a function. It is called to ask whether the run may go on with other instruments.
//     They are recognised by name and serial number, and put on record. A device that is gone, or
//     states another firmware or accuracy, is reported too. On the command line this cannot happen yet: the bench file in the head is what is opened, and no
//     driver reads a serial number from its instrument.
//
// If a run is done, but what follows from its journal was lost in a crash or on a full disk, [Resume]
// writes that again, from the journal alone.
//
// # Looking again at the readings
//
// [Replay], [Reanalyse] and [DrawApart] are one path (look.go): the run's folder is read, and its scripts are executed over the whole journal.
//
// [Replay] makes the results again and compares them with the recorded ones. Equal means within
// [result.Same]. It makes as many draws as the run did, or as many as it is asked for. If that
// number is asked for, the new results are kept in replays/<n>, and nothing else is touched.
//
// [Reanalyse] does the same with a change: another correction of a meter, or another script that
// asks for the same steps. That works because readings are kept as the meter gave them. A
// correction ([bench.Correction]) is applied after the journal, so a run with one and a run
// without ask for the same steps. The flags of a reading, and a spectrum, stay as the meter said.
// A luminance without colour cannot be corrected, and is refused.
//
// # Runs of older versions
//
// The same script and journal may give other results in a later version: by another way to evaluate uncertainties, or another sentence that candelua
// itself writes. The rules by which a version computes have a number ([history.Rules]), and a run's head states its own. rules.go lists what each
// number changed. A replay of an older run says what it cannot compare for that reason ([Older]), and compares everything else. Newer rules are refused.
//
// # Comparing runs
//
// [DrawApart] makes draws of a run that can be compared with those of another run, see package draw.
//
// # Where it ends
//
// What happens between a script and a bench is package play. What a journal means is package
// history, how it is stored is package journal. Finding and loading procedures is package
// procedure, writing a folder package archive, listing and repairing runs package survey.
package engine

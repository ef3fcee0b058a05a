// Package play executes a script over a history and a bench. It holds the door: the one way from a
// script to the world.
//
// [Job.Execute] runs a script and goes live where the journal ends. [Job.Replay] runs it on the
// journal alone. [Job.Many] runs it again and again on readings with random errors. All three run the same script
// from its start through the same door (door.go).
//
// # Conventions
//
//   - A failure of a step is an answer: it is recorded, and the script may catch it. A stop is not:
//     no script can catch one, and the step is taken again later.
//   - Nothing is printed here: whoever wants to know is a [Listener].
//   - What is wrong with the record or the script is said in the script's terms, with its line.
//   - The door appends to the journal before the script sees an answer, and reads the answer back
//     from the journal. So a script cannot tell a live answer from a recorded one.
//
// # The door
//
// A door is in one of three states:
//
//	answering   steps are answered from the journal
//	fresh       the journal was empty at the start; the first contact goes live at once
//	live        steps are answered by the world
//
// A recorded step must be the one that is asked: same name, same device, same arguments. If not, the
// run ends with a [DivergenceError] that shows both. The engine never guesses which one is meant. A
// replay that asks for more than there is ends with [ErrJournalEnds], one that asks for less with a
// [LeftOverError].
//
// A live step writes an ask, calls the device, writes each single reading as it comes (sample), and
// then the answer with its script time. The bench's time less the time that the run stood still is
// script time; it never runs backwards.
//
// # Looking out
//
// Before a live step reaches its device, lookout.go looks at its request. A patch that would make the screen flash without the
// contract saying so ends the run. A caution that was not shown before is shown now; where it is not accepted, the run pauses.
// Neither is an answer, so no script can catch it, and nothing of the step is in the journal.
//
// # Looking on
//
// Whoever looks on is told events ([Event]) of an execution on a bench, by the goroutine that executes the script, so that a
// listener must not wait. The results so far can be looked at through a [Sight], by any goroutine: those who look have their turn
// while the script waits for the bench, and get a copy. So neither how many look on nor how slowly they do it changes what a run
// does, or when.
//
// # Setting aside and executing again
//
// Steps are set aside by a void. Then the script is executed again from its start; nothing is
// continued in an old Lua state. These set aside:
//
//   - before an execution: the steps from [Pause.From], and what [history.History.Interrupted] names
//   - the operator types "back": the last answer that a person gave, and all after it
//   - a guard finds that its control patch has changed: all steps since its last good look
//   - a step failed and the script did not catch it: that step, so that a resumed run takes it again
//
// The bench stays open between two executions of one process. A simulated world is made anew, and so
// is a bench after the machine slept.
//
// # Going live
//
// A run goes live at the first step, or at the entry of an unbroken stretch, that finds the journal
// used up (golive.go). Until then nothing but voids is written, so that a resumption that gets
// nowhere leaves the folder as it was. The order is:
//
//  1. A simulated world lives through what happened after the last step.
//  2. The record "resume" with the length of the pause and its reason; then the asides of what is
//     other from here on: an edited script, other instruments ([Join]). A simulated bench stands
//     still for the pause.
//  3. Opens and closes of the script's parts, which were held back, are written.
//  4. Where the procedure has an on_resume: unit and rig are put back, and on_resume is called.
//  5. Unit, rig and patch are put back.
//
// A new run has nothing to put back and only writes what was held back.
//
// # Putting back
//
// Requests leave something on a bench: a patch, settings, lamps, angles, a place. [bench.State] takes
// in what each granted request leaves. The door has two such states: A is what the recorded steps left,
// and B what this process has asked for. What is in A and not in B is asked for again by an ordinary
// request (putback.go), and an aside "restore" says so. The patch is always shown again,
// because whoever paused has looked at something else. So drivers remember nothing between processes.
// A device that knows by itself what still stands is a [bench.Verifier], and is asked instead.
//
// # Reliving
//
// What a display shows depends on what it showed before. A real display has been there. A simulated
// one is made anew, and lives through the kept steps again, at their times (relive.go): a device of a
// simulated world is a [bench.Reliver]. So a crash resumes to the same results to the byte, where the
// pause takes no time; TestKilledProcesses kills real processes to see that. A run that was stopped by hand is another case: the dark patch was shown, so the
// panel that it goes on with is a slightly different one.
//
// A reading that failed is lived through too, since a fault may have waited for it. What went wrong in steps
// that were set aside has been put right by whoever goes on: voids and ends name the mishaps that had
// begun ([bench.Mishaps]), and these do not begin again. Only in steps that were cut off the same
// happens again, as if nothing had been cut off.
//
// # Interludes
//
// on_resume and before_restart are interludes (see package history). Their steps are numbered, recorded
// and matched like any others. What they must not do is change what follows:
//
//   - They record notes and no other results, and an error in one ends the run, whatever pcall stands
//     around the step that it came before.
//   - They have a stream of random numbers of their own, and their steps shift no key of a draw
//     (script.Call.Place).
//   - After on_resume the builtins have the state that they had before it (script.Saver). What
//     on_resume asked of the bench does not count among what the recorded steps left there.
//
// on_resume gets the sum of all pauses since the run was last at work, not only the last one. before_restart
// runs if the stretch was cut off after it had touched the bench.
//
// # Pauses, and a closed lid
//
// How long a real run stood still is the time of day less [Pause.Since]. On a simulated bench it is
// [Pause.Stood]: no time passes there by itself.
//
// Around each contact the engine asks whether the machine slept, for more than 2 s (lid.go). If it did, the answer is dropped,
// unless a person typed it; a pause is written, the instruments are opened anew, and the script is executed again. On Linux
// the system counts for how long it slept ([bench.Sleeper]), so that setting the time of day interrupts nothing. Elsewhere it
// slept if the time of day ran ahead of the bench's clock, where that stands still meanwhile; if it does not, the time slept
// counts as script time.
//
// A source of patches that loses what it shows for a while, and says so ([bench.Returning]), interrupts a step likewise
// (lapse.go): the answer is dropped, a pause is written, and the run waits until the source is back. Its instruments stay
// open. A step of a meter counts only if the source says after it that all stood until then.
//
// # Ends
//
// However an execution ends, the rig is made safe and a dark patch is shown, if the run touched them
// (safeend.go). The end is put on record with the status. A device that says by itself that it is gone
// ([bench.Watched]) pauses the run ([bench.GoneError]).
//
// The work of a script between two contacts is bounded by a budget of instructions (package sandbox). The
// door fills it again when script time moves. A run on a simulated bench ends after 48 hours of simulated
// time or 64 MiB of journal ([ErrTooLong]).
//
// # Many executions
//
// [Many] shares what all draws have in common: the compiled program, the steps as they were read once (the
// tape), the decoded answers (script.Memo) and the draws' state (script.Shared). So the derive function of a
// builtin must not change the answer or the samples that it is given: it clones them first.
//
// # Where it ends
//
// Opening, reading and writing run folders is not done here. How readings
// get their errors, and what becomes of the draws, is in packages draw, builtins and uncertainty.
package play

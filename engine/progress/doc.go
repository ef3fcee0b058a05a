// Package progress follows a run by its events, for those who look on: the line at the foot of a terminal, and the operator's view.
//
// A [Follower] is told what goes on ([play.Event]), what is asked and warned of, and gives at any time what there is to show ([View]).
// It never waits, and whoever looks on asks it: so that nobody who looks on can slow a run, however slowly they look.
//
// # How long it takes
//
// A rehearsal on the simulated bench ([Recorder]) gives the course that a run is expected to take: its steps, each with its time
// and the device that is asked. A [Gauge] holds the run against it:
//
//   - The place in the course is the number of the step. Where a named part of the script begins, it is found again in the course,
//     since a part before it may have taken more steps or fewer.
//   - What steps of one name took longer than in the rehearsal is added to those to come: the median of the last of them, and
//     of two that took no longer, so that one step alone moves nothing (common practice, no source). What they took less is
//     subtracted, but no step is taken to be shorter than the shortest of them.
//   - Time for which a person is waited for is left out. How often a person will be asked is counted apart: a step of a device by
//     hand is once.
//   - The share that is done never goes back in one execution, and is at most 99 % before the end. A run that goes beyond its course has no time left
//     that is known.
//
// The time left is shown with the word "about". Of 45 runs (shipped procedures, on shipped units other than the rehearsed one), 39 showed it
// right to a tenth of the whole time when half of that was over. The worst was wrong by four tenths: it takes other steps on another unit.
//
// Seconds are script time. On a simulated bench that is paced, real time is script time by the pace; on one that is as fast as possible there is none.
package progress

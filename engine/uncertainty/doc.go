// Package uncertainty turns many executions of a run into uncertainties of its results.
//
// [Draw] executes a script n times over the journal of a run that is done, on all cores, each time on
// readings as they might have been instead. [Drawn.Conclude] then gives each value, and each number of a
// table, its standard uncertainty u and its interval of 95 %. The mathematics is in package draw. What is
// executed is an [Executions], which package play implements.
//
// # Conventions
//
//   - Draws are numbered from 0. Neither their order nor the number of cores changes a number.
//   - A number that a draw did not give is NaN, inside this package only.
//   - What is said about a value goes into the value itself (result.Value), never onto a terminal.
//
// # One draw
//
// The first execution ([Executions.Look]) changes nothing: each reading enters the sheet (draw.Sheet) with its
// single readings, what is known of its meter, and its keys. Only then is it known how readings at a similar
// level scatter. The draws follow. builtins/draws.go adds the errors of the draw to the single readings, which are corrected already,
// before a mean is made of them. A spectrum is multiplied by the factor by which the draw changes its reading's Y, where that is above 0; its
// shape is drawn by itself: the scale of wavelengths and a smooth error of the response, which all spectra of a meter share, and the noise of
// each sample ([draw.Spectrum]); then it is scaled to the reading's Y, so that what a script computes from the spectrum follows the reading.
//
// What rig.lux read and a person typed is drawn in the same way, as far as somebody states how well it is known ([draw.Number]). What
// run.decide keeps stays: a choice is the procedure's own, and no error. Functions that only compute such a choice, or a text
// (run.decide_by, run.text_by), are left out, unless one execution without them shows that results hang on what else they do.
//
// # What is not known
//
// Of some things that a script is given nobody states how well they are known: an illuminance of a light meter without a certificate, a typed number,
// the time that a light took to settle ([draw.Unknown]). No draw moves them, and a value that follows from them must not pass for constant.
// So the script is executed a few times more, each time with all that is of one such kind moved a little by itself ([Executions.Shake]): a number that is another one then
// depends on it. Its uncertainty is not known, whatever else it depends on, and the value says why (result.NotKnown). Some kinds rest: they matter
// only to a number that no draw moves, such as the times at which steps were answered. What the draws make of such a value is what its
// uncertainty is at least: the part that somebody states (result.Value.UAtLeast), shown as "± 1.2 or more". A value that moves in no draw and in no such execution is constant.
//
// A dependence is missed where a number is changed by less than 30 % in steps, or goes through a choice that run.decide keeps.
//
// Pauses count among the hours that a dark level has drifted for, as long as the journal says that they were.
//
// If nobody knows how a meter scatters, its single readings have no scatter in the draws. This is so if none of the meter's readings has two or more
// single readings, no single readings are of one stimulus, and the bench file states neither noise nor repeatability. The results count such readings (no_scatter), and the terminal says what to do.
//
// A script cannot tell a draw from the run: but for the numbers of readings, and what it computes from them, it is given in a draw
// what it was given in the run, places in messages and flags of readings included (TestDrawsSeeWhatTheRunSaw in package engine). So a
// draw of a run whose readings have no error that is known would change nothing, and none is made; the values are constant.
//
// # How many draws
//
// A run has as many draws as the digits need that are shown of its uncertainties ([AsNeeded]): 200, and then a hundred more at a time, until leaving
// out any hundred would change them by little (stable.go), 1,000 at most. A draw that works much is made 200 times only, or as often as fits into
// 350 million units of work. The number follows from the script and the journal alone, is kept in the results, and a replay makes the same.
//
// Where it was asked for a number, it has that many. Both are within a limit of work ([Budgeted]): 10 million units a draw on average, so that
// 500 draws take one to two minutes of processor time at most. Work is what the sandbox counts, with a little for each number of the results, so that the draws end
// after the same one on every machine. A guard of time stands behind it. What was ended by a limit, or by Ctrl-C, is in the results, with the
// number that was made and the reason in words (result.Draws). A replay makes the number that is recorded, without a limit, so that it
// agrees on a slower machine too; --draws N of a replay makes exactly N. Fewer than 100 give no uncertainty.
//
// The work of a long table is that of its rows in the script: 20,000 rows of two numbers work some 8 million units a draw. What the causes of
// error drew is computed once for all values that have a number in the same draws ([draw.Explainer]); where values
// differ in that too often, those beyond the first sets have no budget, and the results say so.
//
// # Draws without a value
//
// A draw in which the script asks for other steps, or for fewer or more, is divergent. One that ends in an error has
// failed. Neither gives a value, and neither does a draw in which the script withholds it or states a limit. Where
// more than 5 % of the draws give no value, the value keeps its number, its uncertainty is not evaluated, and the
// reason says which of these happened how often.
//
// So a script that chooses by readings what it reads next must keep the choice by run.decide. Package scripts has an
// example.
//
// # What is concluded
//
//   - The interval is chosen by how the draws lie about the value, and by how far it follows the readings in
//     proportion (draw.Value). Where draws run up against a limit, such as 0 for a distance, the interval ends there, and is shown as a
//     bound: at most 0.3. A count or a share has possible values only.
//   - An angle whose interval is wider than half a turn cannot be told. It has none, and a reason.
//   - Bias is by how much errors push the value one way, as they do with a mean of distances.
//   - The budget says what u is made of (draw.Explain). No draws are made for one component alone: the draws know each cause's
//     number, and what the value does in proportion to it is that cause's share. What is left is called scatter, or the
//     last digit of typed readings. The parts are scaled so that their squares add up to the square of u. A cause of less than 1 % of that
//     is left out, because chance gives as much.
//   - A value may be outside of its own interval: where the draws are pushed one way, the interval is that of the truth, which is on
//     the other side. Whoever shows such a number shows its remark (result.Value.Remark, result.Table.Remark).
//   - A spread below 5e-12 of the number is rounding, and the value is constant.
//
// With no draws, and while a run is not done, a value that is one reading's number carries what that reading scatters,
// or the repeatability that the bench file states (builtins/origin.go).
//
// # What is computed from doubtful readings
//
// [Hang] executes the script with what some steps read moved by a small share, and nothing drawn. A result that is another then was computed from
// it, whatever way the script handed the number on. [Doubt] does so for the readings against which something stands, one reason at a time, and
// gives each result that hangs on them its remark. It needs no draws, and is made of every run that has such a reading. Where the script takes other steps by the least
// change, or is not done, the numbers that do not state their origin are left open, and say so.
//
// A number that run.decide keeps is probed, too: the script is executed again with those that it would keep now.
//
// Not found: a number that was rounded to less than some 10 %, or where such a change makes the script choose otherwise; what hangs on a word, or on true and false,
// that run.decide keeps; a maximum of which the doubtful reading is not the largest.
//
// # Keys
//
// Which errors two readings share follows from their keys (draw.Key): the scale from the meter, the chromaticity from
// the correction or the meter, dark level, drift and zero from the meter and how often it took its dark level, scatter and
// the last typed digit from the step's place in an uninterrupted run and from what the meter gave (seven digits of the mean luminance, before any correction).
// A correction goes by its name and its matrix. The run is in no key, with one exception. So two runs that read the same have the same uncertainties, and so has a run that was resumed or copied. The exception is
// [candelua/engine.DrawApart]: there the sum of the run's head is in the keys of scatter, digit, dark level and drift. Scale and chromaticity stay
// shared, and cancel when two runs are compared.
//
// # Memory and time
//
// All numbers of the results are kept of each draw, 8 bytes each. More than 1 GB is refused before the first draw
// ([TooManyDrawsError]); the run is then done without uncertainties. [CollectSeldom] lets garbage grow while many short
// executions run. engine/README.md has what a draw costs.
//
// # Where it ends
//
// The package reads no journal and executes no script itself. How often the intervals hold the truth was measured:
// testdata/coverage/README.md.
package uncertainty

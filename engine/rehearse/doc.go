// Package rehearse executes a procedure before it is run: in virtual time, on a simulated unit that has the controls and modes of the unit
// file and stands on the places of the bench file.
//
// # What it tells
//
// How long the run takes and how much of that a person works, how often somebody is asked and has to lay hands on something, readings and
// patches, the share of each part, for how long bright pictures stand still, how much light and heat the panel gets, and the first surprise:
// an error of the script in minute ninety is there within a second.
//
// # What it does not tell
//
// No instrument is opened. How long a real meter takes to read is not stated anywhere: [Pace] takes it from a run, else it is that of
// the simulated meter. The light is that of another unit: where a script decides by readings, the real run may go another way. Each report
// lists what could not be told.
//
// # A person's time
//
// What a person does takes the times of [handTimes], which are common practice without a source.
//
// # Conventions
//
//   - Light is in hours of full SDR white that stood still, by the measure of package caution. Heat is in hours of a full screen of SDR white,
//     as the brightness of each patch times its area.
//   - Times are script time in seconds.
package rehearse

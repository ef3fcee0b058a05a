// Package operator is the driver with which a person is the instrument. The person reads a meter and types the reading, shows the patches, sets the
// unit and the rig, and answers questions.
//
// # Conventions
//
//   - Prompts go to the [Console], which writes where results never go.
//   - Readings are absolute, in cd/m². Devices are asked one at a time.
//   - Every device says ByHand of itself, so that the engine knows which answers can be withdrawn.
//
// # What a person can type
//
// Three words work at every prompt: back withdraws the last answer (the journal keeps it, set aside), pause stops the run so that it can be gone on
// with, and help says what can be typed. With a slash, /back, such a word is always the command; with a backslash, \back, it is always an answer. A
// choice whose words are a command is given by its number: each choice has one. back and pause are the errors [bench.ErrStruck] and
// [bench.ErrPaused]; package play knows what follows.
//
// A line answers what is asked when it is typed. One that is typed while nothing is asked, such as during a wait, is refused and said so; but
// pause always works. Lines that a program writes one after the other, as from a file, are taken in order. A line that the input breaks off is
// never taken, because it may be a part of a reading.
//
// No prompt loses a reading: one that is typed where Enter was asked for means "done", and is kept for the meter, in the order typed. It is handed over
// at once ([bench.Noter]), so that it is on record before it is used.
//
// A reading keeps the line as it was typed (Typed of [bench.Sample]), because its last digit is an error that uncertainties count.
//
// Where a meter's own program saves spectra, "file PATH" gives one: a regular file of bounded size with a wavelength in nm and a value in each line.
//
// [Options.AssumeYes] takes confirmations and settings for done. The answers then say that they were assumed. What only a person can know is
// asked all the same.
//
// # Where it ends
//
// The package speaks to a console and to nothing else. It knows no run and no journal.
package operator

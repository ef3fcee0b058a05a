// Package bench says what instruments are: one small interface for each kind of device, the requests that they take and the raw answers
// that they give, the files that describe a bench, a unit and a correction, and the openers of drivers.
//
// # Conventions
//
//   - Luminance and tristimulus values are absolute, in cd/m² (Y is luminance).
//   - Times are bench time: a time.Duration since the bench was opened. It also runs while a run is paused. The engine makes script time of it.
//   - Signals are 0 to 1. Windows are a share of the screen's area in percent. Places on the screen are 0 to 1 from the left and the top.
//   - Every request is absolute and safe to repeat.
//   - Answers are raw: what the device said, and nothing that was computed of it.
//   - Errors are [Error]s with a code that scripts and machines can tell apart ([CodeTimeout] and the others).
//
// # Devices
//
// A bench has places ([Kind]): meter, reference, patches, unit, rig, operator. For each there is an interface with the one method that it
// requires: [Meter], [Patches], [Unit], [Rig], [Operator]. What only some devices can do is an interface of its own (abilities.go, listed in
// [Abilities]): [Zeroer], [Spectrometer], [Switcher], [Menu], [Modal], [Sequencer], [Painter], [Acknowledger], [Cued], [Delayed], [Lit], [Turner], [Placer], [LightSensor], [Safe], [Watched], [Returning]. A device has them or not; a builtin asks. [Needs] is what a
// procedure needs of them: the words that it needs them by, and what a bench lacks, come from that list too.
//
// # Drivers
//
// A [Driver] opens devices of the kinds that it knows. [Openers] are the drivers that can be had, by name: the command line makes the value
// and hands it over, so this package knows no concrete instrument. A driver issues no steps and keeps nothing between runs. It does not judge
// luminances either: [CheckSample] judges the readings of all drivers alike.
//
// # What requests leave, and what still stands
//
// [State] takes in granted requests and says what they left: patch, settings, lamps, angles, place. When a run goes on, the engine puts that
// back by ordinary requests (package play). Kept steps are never sent to real devices. Two abilities are for simulated worlds:
//
//   - A [Reliver] lives through kept requests again, because heat and retention follow from all that was shown.
//   - A [Verifier] knows by itself whether all is still as a request left it.
//
// # Clock
//
// [NewRealClock] is the clock of a bench where no driver brings one. A simulation brings its own ([Clocked], [Skipper]). A driver that stamps its
// answers is told the clock ([Timed]).
//
// # Files
//
// [ParseFile] reads a bench file, [ParseUnit] a unit file, [ParseCorrection] a correction. All are TOML, refuse unknown keys, and name the line.
// A unit file says which role each control has ([Roles]): a procedure asks for the role, and [Bench.Settings] gives the settings that are made.
// A picture mode that the unit has not is refused, and a contract may not state another one than the run's ([Bench.AgreesWithMode]). The run's mode
// is the one that it begins in. A script may set others (a procedure that compares modes); what was set is recorded beside each reading.
//
// [meter.accuracy] of a bench file states standard uncertainties or, with coverage_factor, a certificate's expanded ones; certificate and date name
// that. noise says how a single reading scatters at some levels, such as [[0, 0.001], [1, 0.003], [100, 0.1]]: a luminance and the standard deviation
// there, both in cd/m². repeatability, in %, is of about 100 cd/m², and is not used beside noise. zero is by how much one measurement of the dark level
// differs from the next, in cd/m². Where no scale is stated, uncertainties of values are repeatability only, and say so. wavelength, response, sample and sample_dark
// there are of spectra, and [rig.lux] is of the rig's light meter: where they are missing, the uncertainty of a value that
// depends on spectra or on illuminances is not known, and the value says so.
//
// delay of patches is the time from when the source has painted a patch until the display shows it. Where it is not stated and the source
// does not know it ([Delayed]), the first patches of a run measure it.
//
// timeout and retries of a bench file are known keys and are refused when the bench is opened: nothing applies them yet, and a limit that is
// not kept is worse than none.
//
// # Corrections
//
// A [Correction] is a matrix from a filter meter's XYZ to a reference's. The bench only reads it. It is applied by builtins/corrected.go, to each
// single reading and after the journal, which keeps readings as they were read. A file may state the meter, the unit, the kind of panel and for
// how many days it is valid. Where a run is of something else, a warning says so before the run, and a note in its results
// ([Correction.Misfits]).
//
// # Where it ends
//
// Which driver exists is cmd/candelua/setup.go. When a device is asked is packages builtins and play.
package bench

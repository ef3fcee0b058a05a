// Package builtins holds the modules that scripts see: meter, patches, unit, rig, operator, clock, record, run, colour and stats.
//
// Each function is declared once, with the names, units, limits and help of its arguments. The binding to Lua, the checks, the encoding in the journal and
// the page of candelua api come from that declaration (packages script and declare). The files are named after the modules; what several share has a file
// of its own.
//
// # Conventions
//
//   - A module is a function in its file, such as rigModule, and a line in [Modules]. Tests check that every declaration reads as a page of the reference.
//   - Names are small letters and underscores. Luminance is in cd/m² under the unit's name "cd/m2".
//   - What a struct of results gives the script has tags as well, and a LuaName, the name that errors use.
//   - A function is never removed, because the stored scripts of old runs call it; script.Hidden takes it out of the reference. An argument that is added has a default that means
//     "as before".
//
// # From a reading to a script
//
// A single reading is checked ([bench.CheckSample]), kept in the journal as the meter gave it, corrected (corrected.go), given its error if the execution is a draw
// (draws.go), and then made into a mean with its scatter (reading.go). Only the first two happen live; the others happen on every execution.
//
// # The scene
//
// scene.go keeps the present state of the bench: the patch and when it was lit, settings, the rig, open parts.
//
// # Origin
//
// A value is from the reading that the script hands over (value = r), or from the readings that it states (from = r, from = { r, s }, from = rows, from = a recorded
// table). It is never found by comparing numbers (origin.go); runs by rules before 5 did that (before5.go). A value that is one reading's number, said in one of these
// ways, has that number's uncertainty where nobody draws. A bound has one only with of.
//
// # Doubt
//
// What stands against a reading (doubt.go): the meter was saturated, the window did not fill its field, the light still changed. A saturated meter, and one that sees
// past the window onto a darker background, give a lower limit without an uncertainty. A value that is such a number is recorded with bound = "lower". A value of a reading
// that drifted, or that saw past the window onto a brighter background, is not evaluated; nor is one that is computed from a doubtful reading, if it states it. A reading in a
// table takes what stands against it along. Scripts ask reading.doubt. A note reports saturated and underfilled readings, once in a run.
//
// Each reading tells the results what stands against it ([result.Results.Stand]). After the run a probe finds the numbers that are computed from it all the same, whatever the script
// states (package uncertainty). So a number that says nothing of its origin is not lost either.
//
// meter.measure carries more: that the light had not settled, and of a black below the meter's floor the limit that it is (measure.go).
//
// # Draws
//
// draws.go enters readings into the sheet of package draw, and adds the errors of a draw to them. It must not change the samples that it is given. A meter's scale is keyed by its
// driver, name and serial number, because bench files state no calibration.
//
// # Budget of work
//
// A builtin that works long for one call charges for it ([script.Call.Charge]), or a loop of such calls would run for hours.
//
// # Where it ends
//
// Formulas of colour are package colour. No builtin writes a file, and none imports the engine.
package builtins

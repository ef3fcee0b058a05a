// Package driver holds what all drivers of real instruments have in common, so
// that a driver has little to write: it opens a session, says who is there, and
// answers one request at a time (Session). Drivers are command, process and
// scripted below this folder.
//
// # Conventions
//
//   - Messages says what can be asked and answered, once, for all drivers. Their
//     tags are those of package declare; the names in JSON are the same.
//   - Values are in the units of package bench: cd/m², 0 to 1, percent, degrees, lux.
//   - A session issues no step, judges no reading and remembers no request. It is used
//     by one goroutine at a time.
//
// # The line
//
// A line is the one way to an instrument. For each request it tries as often and as
// long as the bench file states (timeout, retries):
//
//	answered and plausible     the answer, and how often it was tried
//	not answered in time       tried again, once the session is in step
//	cannot be understood       the same
//	implausible                the same; bench.CheckSample judges before that is decided
//	the instrument refuses     the same, without getting in step: it has answered
//	the connection is lost     opened anew
//	cannot be opened anew      bench.GoneError: the run is paused, whatever the script catches
//	another instrument answers bench.GoneError
//	it cannot do that          an error at once
//
// Between two tries it waits, longer each time (0.1 s to 5 s). After a failure an
// answer may still be under way. It must never be taken for the next one, so the
// session is brought back in step by a question whose answer is known
// (Session.Resync), or is closed and opened anew.
//
// A stop lets the try end that is under way, so that a reading is not lost. Of a
// safe end the deadline is kept too.
//
// # What a reading says
//
// Its times are those of request and answer; an instrument that says for how long it
// integrated has read at the end of that. Sample.Tries counts tries. The fifth equal
// reading in a row, and those after it, are flagged as unvarying and never refused: a
// display of few digits gives such readings, and a program that repeats an old
// reading, too. Where the instrument numbers its readings, the same number twice is
// refused and tried again.
//
// # Where it ends
//
// How an instrument is reached is the packages below this one. What a bench file
// may state is package bench. When a device is asked is packages builtins and
// play.
package driver

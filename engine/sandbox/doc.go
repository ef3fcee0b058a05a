// Package sandbox is Lua 5.1 in a box: a script can compute, and reach nothing but what it is given.
//
// [Compile] checks and compiles a source file. A [Machine] is one Lua state with its budget and its stop. The interpreter
// is gopher-lua; this package mends what it does wrongly and bounds what it leaves open.
//
// # Conventions
//
//   - Every error is written in the script's terms: file, line, what is wrong, what to do ([Error]). No Go name and no message of
//     the interpreter reaches a person.
//   - A Go error that a builtin raises is a value in Lua with the fields code and message ([Raise]).
//   - What ends a call for good cannot be caught by pcall ([Unwind]).
//   - What ends a machine cannot be caught by pcall: [Machine.Stop], the budget and the memory. The first cause wins.
//   - The same script gives the same numbers on every machine: random numbers are a generator of our own, and tables are listed in
//     a fixed order.
//
// # What a script has
//
// The basic functions and the libraries string, table and math, without what reaches outside: no io, os, debug, load, module,
// coroutine or collectgarbage. These read as nil; reading any other unknown name is an error. print goes to a log. require is given a [Loader] and loads each module once.
//
// # Budget
//
// A machine may do so much work between two contacts with the world ([DefaultLimits] has all limits). Work is counted in units of
// one instruction, some 10 ns: a loop of our own in place of the interpreter's counts them (loop.go). What takes longer costs more: instructions on long texts, lists and chains
// (charges.go), library functions, and what a Go function does for a script ([Machine.Charge]). All of this follows from
// what the script does, and nothing from the time that it took, so that a script ends at the same instruction in the run, in its
// replay and in each draw, on a busy machine and on an idle one (TestHostile). [Machine.Refill] fills the budget when
// script time moves.
//
// Measured on 2026-11-30 (BenchmarkHostile, over 200 acts that cost most for what they say): a unit took 60 ns at most, so that no
// script works for longer than some 6 s of an idle processor without a contact. An empty loop ends after 1 s.
//
// Source has a budget, too. [Compile] refuses what would need a search for names or labels of more than some two seconds, and
// more functions than memory should hold. A file of 1 MiB compiles in 1 to 3 s, with up to 250 MiB.
//
// # Memory
//
// What a script holds is counted (count.go): each value that it can reach, by what it takes, whenever so much was made since
// that the sum may have changed much. That also follows from the script alone. A host function counts what it makes, before it makes it, with
// [Machine.Grow], and what it keeps with [Machine.Keep]. What an object of the host holds is measured when it is
// made ([Machine.NewObject]); [Bytes] measures a value before it is copied. Long strings,
// lists and tables are refused before they are made.
//
// As the last guard, one goroutine measures the heap of the process while machines live and raises a flag (watch.go). The machine itself then
// collects garbage, measures again, and ends where the heap has grown by more than its share. Others have a part in that, so
// that it is no end of the script ([ErrHeap]): the run is paused, and a replay or draws fail. A process grows to at most
// 256 MiB (TestMemory), and by as much more for each further machine that works at once.
//
// # What is mended
//
// A script means the same as in Lua 5.1 by its authors, or is refused when it is
// loaded. gopher-lua differs in places. What source can avoid is rewritten to source
// that means the same (rewrite.go, exprs.go, jumps.go, names.go); constants are
// computed in the order of Lua 5.1, which decides on the sign of zeros
// (constants.go); and where no source helps, the instructions themselves are mended,
// in the library's own table of them (instructions.go): the sign of zeros, %, #,
// __unm, metamethods that are no functions (events.go), text as limits of a for loop, and `..`, which could allocate without
// bound. No helper of this is among the globals. Patterns, numbers in text, formats
// and tostring are our own (pattern.go, numbers.go, format.go, base.go). A power is the nearest number (pow.go), which it is not always
// in the C library that a Lua uses: of 100,000 powers, 67 differed from glibc 2.36 in the last place, 10^23 among them. Tests compare
// random programs with lua5.1, where it is installed.
//
// What stays other: nan is printed without sign; pairs lists in the order of
// insertion; messages have our words; tables and functions are numbered in
// tostring. string.format takes any value for %s, assert any value as message, and
// goto is there.
//
// # Old rules
//
// Until the rules 3 of runs (package history), operators were the library's: % was
// exact, arithmetic gave no -0, # asked the __len of tables, constants were
// computed otherwise; tonumber knew no "inf", "nan" and hexadecimal fractions and
// read "-ff" in base 16 as -255; error made text of a number at level 0, too, and
// placed its message at the outermost call where the level led further; assert gave
// its message no place; xpcall passed arguments on; log10 fell short of some whole numbers, and ^ and math.pow were often one place off; a metamethod that is no function was missing, and the message of what a
// function of the host could not call had no place; an unknown name was compared with
// globals alone. With [Limits].Before4 a
// machine does all this still, so that an old run comes to what it came to. It also charges what is slow
// by the time that it took, and bounds memory by the heap alone. What the
// compiler did wrongly (varargs into variables, long constructors, keys read too
// early) is right for all.
//
// # Threads
//
// Scripts run on threads of the state, never on its root. Raising an error closes the upvalues of each live frame of its thread,
// so each protected call gets a thread of its own, and a thread on which an error was raised is thrown away (catch.go).
//
// # Where it ends
//
// The package knows no builtin, no bench and no journal. Package declare turns values of Lua into values of Go, package script
// binds builtins.
package sandbox

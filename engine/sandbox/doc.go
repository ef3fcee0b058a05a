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
// A machine may execute so many instructions between two contacts with the world ([DefaultLimits] has all limits). The
// interpreter asks its context before each instruction, and that is where they are counted (fuel.go). What a Go function does for a
// script is charged by [Machine.Charge]; an instruction that is slow by nature, such as comparing texts of megabytes, is
// charged by the time that it took. The time that the world takes is not counted ([Machine.Waited]). [Machine.Refill]
// fills the budget when script time moves.
//
// Measured on 2026-11-25 (version 0.1.0, commit 351c594; bombs_test.go): an empty loop ends after about 1 s; a loop of builtins, caught errors or growing tables after 2 to 6 s;
// the slowest scripts that we know (comparing texts of megabytes) after some 10 s.
//
// # Memory
//
// One goroutine measures the heap while machines live and raises a flag (watch.go). The machine itself then collects garbage,
// measures again, and ends where the heap has grown by more than its share. Long strings, lists and tables are refused before
// they are made. Measured on 2026-11-25 (version 0.1.0, commit ae34ef5): a process grows to at most 240 MiB.
//
// # What is mended
//
// A script means the same as in Lua 5.1 by its authors, or is refused when it is
// loaded. gopher-lua differs in places. What source can avoid is rewritten to source
// that means the same (rewrite.go, exprs.go, jumps.go, names.go); constants are
// computed in the order of Lua 5.1, which decides on the sign of zeros
// (constants.go); and where no source helps, the instructions themselves are mended,
// in the library's own table of them (instructions.go): the sign of zeros, %, #,
// __unm, text as limits of a for loop, and `..`, which could allocate without
// bound. No helper of this is among the globals. Patterns, numbers in text, formats
// and tostring are our own (pattern.go, numbers.go, format.go, base.go). Tests compare
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
// its message no place; xpcall passed arguments on. With [Limits].Before4 a
// machine does all this still, so that an old run comes to what it came to. What the
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

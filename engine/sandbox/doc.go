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
// gopher-lua compiles some Lua wrongly, and one operator can allocate without bound. The rewriter (rewrite.go, exprs.go, jumps.go)
// turns such source into other source that means the same. Patterns, number formats and tostring are our own
// (pattern.go, format.go, base.go). Tests compare with lua5.1, where it is installed.
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

// Package syntax reads Lua 5.1 with the place of each word: for what looks at scripts without executing them.
//
// [Parse] gives the tree of a file, with the comments that stand in it. Each name, argument, field and operator knows its line and its
// column, which the tree of the interpreter does not. Columns count characters from 1, so that an editor finds them.
//
// # Other dialects
//
// Where a file is not Lua 5.1, the [Error] says which sign of another language or version was found, and what to write instead. What
// the interpreter takes beyond 5.1, which is goto, is in the tree.
//
// # Where it ends
//
// What is executed is compiled by package sandbox, whose parser is the interpreter's. This package decides nothing about it: tests compare
// the two over random programs. It imports nothing of candelua. The caller bounds size and nesting before (sandbox does); nesting beyond
// [Deepest] is an error here too.
package syntax

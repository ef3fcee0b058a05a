// Package check finds mistakes in scripts without executing them: procedures, trials, drivers and libraries.
//
// # What it knows
//
// Names, arguments, units, limits and results of builtins are read from their declarations ([script.Module]), and those of files that
// declare something from the plans that their readers use ([Kind]). Arguments that are written out go through the same checks as at run time
// ([script.Func.Judge]), with the same words. So a new builtin is checked without a line here.
//
// # How it works
//
// A file is compiled by the interpreter first, whose errors come first. Then package syntax reads it with places, each name is bound to its variable
// (names.go), and the types of variables, fields, parameters and results are joined in three passes over the tree (types.go, walk.go). A fourth
// pass finds. What is not known stays silent: a finding is only made where each possible value is known to be wrong, or where the
// statement itself says it. Procedures are also loaded, as candelua describe does it, which executes their top level in the sandbox.
//
// # Findings
//
// A [Finding] has a stable name ([Names]), a level and one suggestion. Errors would end or spoil a run, warnings probably would,
// hints need not. A comment silences findings of one name with a reason, on its own line or, alone on a line, on the next one:
//
//	-- as meant, never-read: the first reading only warms the meter up
//
// # Where it ends
//
// It looks at no bench and measures nothing; what only an execution shows is the business of the caller. It does not
// follow what may be nil, computes no units of products, and knows of tables no more than the fields that it sees.
package check

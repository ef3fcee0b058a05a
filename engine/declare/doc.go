// Package declare reads what struct tags say of arguments, and does all that follows from it: takes them from Lua, checks them,
// says what is wrong with them, and writes them as the journal keeps them.
//
// A function that scripts call takes one struct:
//
//	type fadeArgs struct {
//		Lamp    string  `lua:"lamp" pos:"1" help:"as the bench file calls it"`
//		Seconds float64 `lua:"seconds" default:"1" min:"0" max:"60" unit:"s" help:"how long it takes"`
//	}
//
// [Plan] lists the tags. [For] makes the plan of a type, once; a tag that is wrong panics as the program starts. Trial files
// and parameters of procedures are read by the same tags.
//
// # Conventions
//
//   - A field without the tag lua is no argument. A field without a default is required, unless its type can be absent
//     (a pointer, a slice, a map).
//   - Limits are allowed values; above is the one that is not.
//   - A help text is one line that begins with a small letter and ends without a full stop.
//   - Every error is a [fault.ArgError]: which argument, what it is, what is wanted, what to do.
//
// # Encoding and matching
//
// [Plan.Encode] writes arguments as one JSON object: fields in the order of the declaration, defaults filled in, absent
// optional ones left out. Equal arguments give equal bytes, so most steps match by comparing bytes. Where bytes differ,
// [Plan.Differing] compares argument by argument. A recorded step that lacks an argument is taken to have its default. So a new
// argument's default must mean "as before", or old runs no longer replay. An argument with match:"no" is neither matched nor kept.
//
// # Where it ends
//
// The package knows Lua's values and Go's, and no function. What a function is, is package script.
package declare

// Package process drives instruments through a program that somebody writes for
// them, in any language: JSON-RPC 2.0 over its standard input and output, one
// message a line, in UTF-8.
//
// # The bench file
//
//	[meter]
//	driver = "process"
//	[meter.options]
//	run = "./dunlin.py"        # the program, with arguments
//	settings = { port = 3 }    # handed to it as they are
//	start_within = "10s"       # for its first answer; 30 s at the most, or the timeout if that is longer
//
// # An exchange
//
// What candelua writes is marked with >, what the program writes with <:
//
//	> {"jsonrpc":"2.0","id":1,"method":"open","params":{"protocol":1,"kind":"meter","settings":{"port":3}}}
//	< {"jsonrpc":"2.0","id":1,"result":{"protocol":1,"name":"Dunlin 3","serial":"7","verbs":["read","dark"],"spectrum":false}}
//	> {"jsonrpc":"2.0","id":2,"method":"read","params":{"spectrum":false,"sync":false,"expect":0}}
//	< {"jsonrpc":"2.0","method":"log","params":{"level":"info","message":"range 2"}}
//	< {"jsonrpc":"2.0","id":2,"result":{"Y":201.5,"x":0.3127,"y":0.329,"seconds":0.5}}
//	> {"jsonrpc":"2.0","id":3,"method":"dark","params":{}}
//	< {"jsonrpc":"2.0","id":3,"error":{"code":-32000,"message":"the lid is open"}}
//	> {"jsonrpc":"2.0","id":4,"method":"alive","params":{}}
//	< {"jsonrpc":"2.0","id":4,"result":{}}
//
// Methods are open, alive, and the verbs of package driver (driver.Messages), with
// their requests as params and their answers as result. candelua asks one thing at a
// time. An answer that comes too late has an old id and is dropped; before anything
// else is asked, alive must be answered within 2 s, or the program is started
// anew.
//
// At the end its input is closed, and it has half a second to end by itself.
//
// # What the program says of itself
//
//	protocol   1
//	name       of the instrument; serial and firmware may be left out
//	verbs      what it can do
//	spectrum   true: readings can have a spectrum
//	sync       true: it can fit its integration to whole refresh periods
//	lamps      names of a rig's lamps
//	shows      what a source of patches shows besides windows in SDR and PQ: a list of
//	           checkerboard, ramp, steps, ladder, hlg, display-p3
//	floor      the lowest luminance that a meter tells from darkness, in cd/m²
//
// # Errors
//
//	-32000   the instrument reports an error; it is asked again
//	-32001   it cannot do that; an error at once
//	-32002   the instrument is gone; the program is started anew
//	-32601   the same as -32001 (JSON-RPC's own "method not found")
//
// Any other code is taken for -32000. Lines that are no JSON objects are skipped and
// shown by --log-level trace, and so is what it writes to its error stream, whose
// last line stands in errors.
package process

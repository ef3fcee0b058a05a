// Package builtins holds the modules that scripts see, one file each. Every
// function is declared once, with its arguments' names, units and limits; the
// binding to Lua, the journal's encoding and the reference page come from that
// declaration.
package builtins

import "candelua/engine/script"

// Modules are all modules, in the order of the reference page.
func Modules() []*script.Module {
	return []*script.Module{
		meterModule(), patchesModule(), unitModule(), rigModule(), operatorModule(), clockModule(),
		recordModule(), runModule(), colourModule(), statsModule(),
	}
}

package builtins

import "candelua/engine/script"

// Modules are all modules, in the order of the reference page.
func Modules() []*script.Module {
	return []*script.Module{
		meterModule(), patchesModule(), unitModule(), rigModule(), operatorModule(), clockModule(),
		recordModule(), runModule(), colourModule(), statsModule(),
	}
}

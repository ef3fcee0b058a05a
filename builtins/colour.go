package builtins

import (
	"slices"

	"candelua/engine/script"
)

// colourModule is the colour library as scripts see it, from spectra to light
// in a room. Conventions of all of it: X, Y, Z are CIE 1931 and Y is in cd/m2;
// u and v are CIE 1976; a reading is taken wherever a colour is.
func colourModule() *script.Module {
	return &script.Module{Name: "colour",
		Help: "Colour calculations. A colour is a reading, { X=, Y=, Z= }, { x=, y=, Y= } or a result of these functions.",
		Funcs: slices.Concat(spectrumFuncs(), chromaticityFuncs(), spaceFuncs(), differenceFuncs(), listFuncs(),
			toneFuncs(), gamutFuncs(), meterFuncs(), lightFuncs())}
}

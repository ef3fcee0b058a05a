package operator

import "candelua/engine/bench"

// Describe says what a patch is, in the words in which a person is asked to show it.
func Describe(p bench.Patch) string { return describe(p) }

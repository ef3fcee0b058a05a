package engine_test

import (
	"testing"

	"candelua/engine/journal"
)

const patterned = `
    patches.pattern { kind = "checkerboard", at = { 0.1, 0.1 } }
    local bright = meter.read({ after = 2 }).Y
    local dark = meter.read({ at = { 0.375, 0.125 } }).Y
    patches.pattern { kind = "ladder", count = 15, from = 0, grey = 15 / 255, bits = 8 }
    clock.wait(20)
    local ladder = meter.read().Y
    patches.show { grey = 0.5, signal = "hlg", window = 10 }
    local hlg = meter.read({ after = 2 }).Y
    patches.show { rgb = { 1, 0, 0 }, space = "display-p3", window = 10 }
    local red = meter.read({ after = 2 })
    patches.pattern { kind = "ramp", vertical = true }
    clock.wait(5)
    record.value { name = "Bright", value = bright }
    record.value { name = "Dark", value = dark }
    record.value { name = "Ladder", value = ladder }
    record.value { name = "HLG", value = hlg }
    record.value { name = "Red", value = red.x }
    record.value { name = "Ramp", value = meter.read().Y }`

// Patterns, HLG and P3 are shown again where a run goes on, and the same is read as without the interruption, wherever it was.
func TestPatternsGoOn(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(patterned)))
	rep := replayed(t, w.path, journal.Done)
	values := rep.Results.Values()
	if bright, dark := *values[0].Value, *values[1].Value; !(bright > 100 && dark < 0.05*bright) {
		t.Errorf("a field of the checkerboard reads %v cd/m², and the one beside it %v", bright, dark)
	}
	ends := lineEnds(w.journal)
	for _, end := range ends[:len(ends)-1] {
		path := copied(t, w.path, w.journal[:end])
		resumed(t, path, journal.Done)
		w.equals(t, path, "cut")
	}
}

package engine_test

import (
	"strings"
	"testing"

	"candelua/engine/journal"
)

// asidesOf are the contacts outside the steps, as name, device and what was
// put.
func asidesOf(j *journal.Journal) []string {
	var all []string
	for _, r := range j.All() {
		if r.Kind == journal.KindAside {
			all = append(all, r.Name+" "+r.Device+" "+string(r.Args))
		}
	}
	return all
}

// TestLampsGoDown at a safe end, and up again where the run goes on.
func TestLampsGoDown(t *testing.T) {
	body := `rig.set { lamp = "front", level = 80 } patches.show { grey = 1 } meter.read() meter.read()`
	rep := ran(t, failsAt(2).spec(t, body), journal.Paused)
	first := strings.Join(asidesOf(journalOf(t, rep.Path)), "\n")
	has(t, first, `safe-end rig {"safe":true}`)
	has(t, first, `safe-end patches {"patch":{"rgb":[0,0,0]`)
	resumed(t, rep.Path, journal.Done)
	all := asidesOf(journalOf(t, rep.Path))
	has(t, strings.Join(all[2:], "\n"), `restore rig {"lamps":[{"lamp":"front","level":80}]}`)
	has(t, strings.Join(all[2:], "\n"), `restore patches {"patch":{"rgb":[1,1,1]`)
	has(t, all[len(all)-2], `safe-end rig {"safe":true}`)
	replayed(t, rep.Path, journal.Done)
}

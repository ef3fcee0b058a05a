package archive

import (
	"candelua/engine/history"
	"candelua/engine/store"
)

// Exposed adds up the still pictures of a unit over its runs in a folder: those of the same unit, by name and serial number,
// on real benches. A run that cannot be read does not count.
func Exposed(out string, unit *history.Head) (hours float64, runs int) {
	entries, _ := store.List(out) // a folder that is not there yet holds no runs
	for _, e := range entries {
		if m := metaIn(e.Path); m != nil && !m.Simulated && m.Unit == unit.Unit && m.Serial == unit.Serial && m.Still != nil {
			hours, runs = hours+m.Still.WhiteHours, runs+1
		}
	}
	return hours, runs
}

func metaIn(path string) *Meta {
	folder, _, err := store.Look(path)
	if err != nil {
		return nil
	}
	defer func() { _ = folder.Close() }() // nothing was written that could be lost
	var m Meta
	if folder.ReadMeta(&m) != nil {
		return nil
	}
	return &m
}

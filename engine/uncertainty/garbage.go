package uncertainty

import (
	"os"
	"runtime/debug"
	"runtime/metrics"
	"sync"
)

// seldom is who wants garbage to be collected seldom.
var seldom struct {
	sync.Mutex
	holders int
	before  int // the percentage that the first of them found
}

// CollectSeldom lets the heap grow further before garbage is collected, until the
// returned function is called, once. It is for work with short-lived data: draws and
// trials are thousands of short executions, and a collection after every 4 MB would
// take up to a third of their time and stop all of them each time. Calls may overlap
// or nest: the last one to end restores the setting that the first one found. GOGC
// in the environment takes precedence.
func CollectSeldom() (leave func()) {
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	seldom.Lock()
	defer seldom.Unlock()
	if seldom.holders == 0 {
		seldom.before = debug.SetGCPercent(growth(inUse()))
	}
	seldom.holders++
	return func() {
		seldom.Lock()
		defer seldom.Unlock()
		if seldom.holders--; seldom.holders == 0 {
			debug.SetGCPercent(seldom.before)
		}
	}
}

// Between two collections at most mostGarbage is left behind on what is in use,
// or as much as is in use where that is more. A small heap grows to nine times
// its size.
const (
	mostGarbage  = 64 << 20 // bytes
	usualGrowth  = 100      // %, as Go has it by default
	seldomGrowth = 800      // %
)

// growth is by how many percent a heap of so many bytes may grow.
func growth(bytes uint64) int {
	return int(min(max(100*mostGarbage/max(bytes, 1), usualGrowth), seldomGrowth))
}

// inUse is the size of the heap in bytes, what is garbage already included.
func inUse() uint64 {
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(sample)
	return sample[0].Value.Uint64()
}

package sandbox

import (
	"runtime"
	"runtime/metrics"
	"sync"
	"time"
)

// heapMark is what a machine knows of the heap.
type heapMark struct {
	start int64 // bytes in objects when the machine began
	fresh int64 // bytes in large strings made since the last look
}

// watchEvery is how often the heap is measured while machines live.
const watchEvery = 5 * time.Millisecond

// The watchdog is one goroutine a process. It only raises a flag: the machine
// itself then collects garbage and measures again, so that the script stands
// still meanwhile and garbage is not held against it.
var watchdog struct {
	sync.Mutex
	machines map[*Machine]bool
	awake    bool
}

func watch(m *Machine) {
	m.heap.start = heapInUse()
	watchdog.Lock()
	defer watchdog.Unlock()
	if watchdog.machines == nil {
		watchdog.machines = map[*Machine]bool{}
	}
	watchdog.machines[m] = true
	if !watchdog.awake {
		watchdog.awake = true
		go watchHeap()
	}
}

func unwatch(m *Machine) {
	watchdog.Lock()
	defer watchdog.Unlock()
	delete(watchdog.machines, m)
}

func watchHeap() {
	for flagMachines(heapInUse()) {
		time.Sleep(watchEvery)
	}
}

// flagMachines flags the machines over their limit. It reports whether any live;
// where none does, the watchdog goes to sleep.
func flagMachines(heap int64) bool {
	watchdog.Lock()
	defer watchdog.Unlock()
	for m := range watchdog.machines {
		if heap-m.heap.start > m.heapLimit(len(watchdog.machines)) {
			m.fuel.urgent.Store(true)
		}
	}
	watchdog.awake = len(watchdog.machines) > 0
	return watchdog.awake
}

// overHeap collects garbage and reports whether the heap is still over the limit.
func (m *Machine) overHeap() bool {
	m.heap.fresh = 0
	watchdog.Lock()
	limit := m.heapLimit(len(watchdog.machines))
	watchdog.Unlock()
	if heapInUse()-m.heap.start <= limit {
		return false
	}
	runtime.GC()
	return heapInUse()-m.heap.start > limit
}

// heapLimit is how far the process's heap may have grown since the machine
// started. The heap is one for all machines, so each that lives adds its own
// share: what one may do alone, many may do at once.
func (m *Machine) heapLimit(machines int) int64 { return m.lim.HeapBytes * int64(max(1, machines)) }

// allocate charges for a string or list of n bytes. Large ones are counted, so
// that the heap is measured in time however fast they come.
func (m *Machine) allocate(n int) {
	const often = 16 << 20
	m.Charge(int64(n) / 16)
	if !m.lim.Before4 {
		m.fuel.made(int64(n))
		m.Charge(0)
	}
	m.heap.fresh += int64(n)
	if m.heap.fresh > often {
		m.fuel.urgent.Store(true)
		m.fuel.check = m.fuel.left
		m.Charge(0)
	}
}

// heapInUse returns the bytes in heap objects, dead ones that were not yet swept included.
func heapInUse() int64 {
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(sample)
	return int64(sample[0].Value.Uint64())
}

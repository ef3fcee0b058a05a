package history

import (
	"maps"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

// Pause is a time for which the run stood still.
type Pause struct {
	After   int     `json:"after"`   // the last step before it
	At      float64 `json:"at"`      // script time
	Seconds float64 `json:"seconds"` // its length
	Reason  string  `json:"reason"`
}

// Resume is a record of a run's going on.
type Resume struct {
	Step    int     `json:"step"` // the one that came next
	At      float64 `json:"at"`   // script time, seconds
	Seconds float64 `json:"seconds"`
	Reason  string  `json:"reason,omitempty"`
	record  int
}

// Void is a stretch of steps that was set aside. They are kept in the journal.
type Void struct {
	From   int     `json:"from"`  // the first of them
	Steps  int     `json:"steps"` // how many answered ones
	At     float64 `json:"at"`
	Reason string  `json:"reason"`
}

// Edit is an edited script that took over.
type Edit struct {
	After   int         `json:"after"` // the last step of the script before
	File    string      `json:"file,omitempty"`
	Scripts []ScriptSum `json:"scripts"` // all that are in effect from there on
	Changed []string    `json:"changed"` // those that are new or not as before
}

// Swap is a change of instruments.
type Swap struct {
	After   int           `json:"after"`
	Devices []bench.Named `json:"devices"`
}

// Mend is a corrected bench file, or a corrected driver, that took over.
type Mend struct {
	After   int         `json:"after"`   // the last step before it
	Changed []ScriptSum `json:"changed"` // the files that are new or not as before
}

// Mended is what a record of that keeps: the files that are new or not as before, and those that are needed no longer.
type Mended struct {
	Texts map[string]string `json:"texts"`
	Gone  []string          `json:"gone,omitempty"`
}

// MendedOf is what makes now of was, and false where they are the same.
func MendedOf(was, now map[string]string) (m Mended, differ bool) {
	m.Texts = map[string]string{}
	for name, text := range now {
		if before, there := was[name]; !there || before != text {
			m.Texts[name] = text
		}
	}
	for _, name := range slices.Sorted(maps.Keys(was)) {
		if _, there := now[name]; !there {
			m.Gone = append(m.Gone, name)
		}
	}
	return m, len(m.Texts)+len(m.Gone) > 0
}

// Apply gives what was with the changes; what was stays as it is.
func (m Mended) Apply(was map[string]string) map[string]string {
	now := map[string]string{}
	maps.Copy(now, was)
	maps.Copy(now, m.Texts)
	for _, name := range m.Gone {
		delete(now, name)
	}
	return now
}

// Effect are the scripts that are in effect, as the record of an edited one says.
type Effect struct {
	File    string      `json:"file"`
	Scripts []ScriptSum `json:"scripts"`
}

// Part is a stretch of a run in effect: a part, an unbroken one, or one that an
// uninterrupted run does not have.
type Part struct {
	Name      string  `json:"name"`
	Unbroken  bool    `json:"unbroken,omitempty"`
	Interlude string  `json:"interlude,omitempty"` // on_resume or before_restart
	Depth     int     `json:"depth"`               // within how many others it lies
	First     int     `json:"first"`               // step inside, or the next one
	Last      int     `json:"last"`                // First-1 if there is none
	Began     float64 `json:"began"`
	Ended     float64 `json:"ended"` // of an open one, that of its last step
	Open      bool    `json:"open,omitempty"`
	Failed    bool    `json:"failed,omitempty"`
	At        string  `json:"at,omitempty"` // the script's line
}

// Parts are the stretches in effect, in the order in which they were opened. now
// is the time of the last step.
func (h *History) Parts(now float64) []Part {
	parts := []Part{}
	var around []journal.Block // those that are open where the next one begins
	for _, b := range h.Journal.Blocks() {
		for len(around) > 0 && around[len(around)-1].Closed && around[len(around)-1].End < b.Record {
			around = around[:len(around)-1]
		}
		parts = append(parts, h.part(b, len(around), now))
		around = append(around, b)
	}
	return parts
}

func (h *History) part(b journal.Block, depth int, now float64) Part {
	open := h.Journal.Record(b.Record)
	p := Part{Name: b.Name, Unbroken: b.Unbroken, Depth: depth, First: b.Next, Began: open.T, At: open.At}
	if i := interludeOf(open); i != nil {
		p.Interlude = i.Kind
	}
	if !b.Closed {
		p.Open, p.Last, p.Ended = true, h.Journal.Steps(), max(now, p.Began)
		return p
	}
	p.Last, p.Ended, p.Failed = b.Last, h.Journal.Record(b.End).T, b.Failed
	return p
}

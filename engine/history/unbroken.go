package history

import (
	"encoding/json"
	"fmt"

	"candelua/engine/journal"
)

// The names of interludes.
const (
	OnResume      = "on_resume"
	BeforeRestart = "before_restart"
)

// Interlude is what the record that opens an interlude says of it.
type Interlude struct {
	Kind    string  `json:"interlude"`
	Of      string  `json:"of,omitempty"`      // the unbroken stretch that starts over
	Seconds float64 `json:"pause_s,omitempty"` // how long the run stood still since it was last at work
	Reason  string  `json:"reason,omitempty"`
}

// Name is the stretch's name on record.
func (i Interlude) Name() string {
	if i.Of == "" {
		return i.Kind
	}
	return i.Kind + " of " + i.Of
}

// interludeOf is what the open of an interlude says of it, nil for any other
// record.
func interludeOf(open journal.Record) *Interlude {
	var i Interlude
	if open.Kind != journal.KindOpen || !open.Unbroken || len(open.Data) == 0 || json.Unmarshal(open.Data, &i) != nil || i.Kind == "" {
		return nil
	}
	return &i
}

// Interlude is what the opening record of a block says, if the block is an interlude; nil for
// the script's own parts.
func (h *History) Interlude(b journal.Block) *Interlude {
	if !b.Unbroken {
		return nil
	}
	return interludeOf(h.Journal.Record(b.Record))
}

// stretch is an unbroken one since it was last entered.
type stretch struct {
	record int  // of its open
	asked  bool // the world was asked for something since
	gone   bool // the open was set aside
	cutOff bool // after the world was asked for something: what it did to the unit is still in it
}

func (s *stretch) void(opened bool) {
	if opened && !s.gone {
		s.gone, s.cutOff = true, s.asked
	}
}

// CutOff says whether an unbroken stretch was interrupted when it was last
// entered, after a contact with the world.
func (h *History) CutOff(name string) bool {
	s := h.stretch[name]
	return s != nil && s.cutOff
}

// Outermost is n, or the first step of the unbroken stretch around it, which must
// not be entered in its middle.
func (h *History) Outermost(n int) int {
	for _, b := range h.Journal.Blocks() {
		if b.Unbroken && b.Next <= n && (!b.Closed || b.Last >= n) {
			return b.Next
		}
	}
	return n
}

// Interrupted is the first step that must be set aside before the run goes on, 0
// where there is none: the outermost unbroken stretch that is open, and an
// on_resume after which nothing was kept, cannot be taken up in their middle.
func (h *History) Interrupted() (from int, reason string) {
	blocks := h.Journal.Blocks()
	for _, b := range blocks {
		if b.Unbroken && !b.Closed {
			return b.Next, fmt.Sprintf("%q must not be interrupted, and was", b.Name)
		}
	}
	for _, b := range blocks {
		if i := h.Interlude(b); i != nil && i.Kind == OnResume && b.Last >= b.Next && b.Last == h.Journal.Steps() {
			return b.Next, "the run was interrupted before anything was kept after on_resume"
		}
	}
	return 0, ""
}

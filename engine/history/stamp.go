package history

import (
	"encoding/json"
	"time"

	"candelua/engine/journal"
)

// Stamp is what a void or an end says beside its reason.
type Stamp struct {
	// Wall is when the run was last at work, so that a resumption knows how long it stood still.
	Wall time.Time `json:"wall,omitzero"`
	// Struck are the mishaps of a simulated world that had begun. A void without them set aside what was
	// cut off: there the same happens again, as if nothing had been cut off.
	Struck []int `json:"struck,omitempty"`
}

// JSON is the stamp as the record's data, nil where it says nothing.
func (s Stamp) JSON() json.RawMessage {
	if s.Wall.IsZero() && len(s.Struck) == 0 {
		return nil
	}
	s.Wall = s.Wall.UTC()
	text, _ := json.Marshal(s)
	return text
}

// StruckBy are the mishaps that a void or an end names.
func StruckBy(r journal.Record) []int {
	var s Stamp
	if r.Kind != journal.KindVoid && r.Kind != journal.KindEnd || len(r.Data) == 0 || json.Unmarshal(r.Data, &s) != nil {
		return nil
	}
	return s.Struck
}

// Struck are the mishaps of the simulated world that had begun when steps were set aside, or the
// run ended.
func (h *History) Struck() []int { return h.struck }

package history

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"candelua/engine/bench"
)

// Head is what a run is: all that is needed to execute it again. It is the
// journal's first record, so the journal and the copied scripts suffice to
// rebuild everything else.
type Head struct {
	Engine    string            `json:"engine"`           // version of candelua
	Rules     int               `json:"rules,omitempty"`  // by which it computes; 0: of a version that did not say, see [Head.ByRules]
	Procedure string            `json:"procedure"`        // its name
	File      string            `json:"file"`             // the main script's file
	Source    string            `json:"source,omitempty"` // where it was found: its path, or the name of a shipped one
	Scripts   []ScriptSum       `json:"scripts"`          // all files that were loaded
	Params    map[string]any    `json:"params"`
	Seed      uint64            `json:"seed"`
	Unit      string            `json:"unit"`
	Serial    string            `json:"serial,omitempty"` // of the unit, as its file says
	Panel     string            `json:"panel,omitempty"`  // the kind of the unit's panel, as its file says
	Mode      string            `json:"mode,omitempty"`
	Bench     string            `json:"bench"` // its name
	Simulated bool              `json:"simulated"`
	Draws     int               `json:"draws,omitempty"` // how many are made for the uncertainties; -1: as many as the digits that are shown need
	Sync      bool              `json:"sync,omitempty"`  // each answer on the disk before the script sees it
	Devices   []bench.Named     `json:"devices"`
	Started   time.Time         `json:"started"`            // wall time; of a simulated bench, a fixed day
	Caution   string            `json:"caution,omitempty"`  // the procedure's own, as it was shown and accepted
	Cautions  []string          `json:"cautions,omitempty"` // kinds of all that were shown before the run; none of an older version
	Texts     map[string]string `json:"texts,omitempty"`    // bench, unit and world files as they were
}

// Day is when the run began, as year-month-day; empty where the head does not say.
func (h *Head) Day() string {
	if h.Started.IsZero() {
		return ""
	}
	return h.Started.Format(time.DateOnly)
}

// Subject is what the run measures, and when.
func (h *Head) Subject() bench.Subject {
	return bench.Subject{Unit: h.Unit, Panel: h.Panel, Day: h.Day()}
}

// ScriptSum tells one file of a procedure from any other.
type ScriptSum struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

// Sum is the SHA-256 of a script's bytes, in hexadecimal.
func Sum(src []byte) string {
	sum := sha256.Sum256(src)
	return hex.EncodeToString(sum[:])
}

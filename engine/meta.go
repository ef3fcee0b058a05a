package engine

import (
	"candelua/engine/journal"
	"candelua/engine/result"
)

// Meta is run.json: what was asked, and how it went. All of it can be rebuilt
// from the journal.
type Meta struct {
	Head
	Status  Status         `json:"status"`
	Reason  string         `json:"reason,omitempty"`
	Seconds float64        `json:"seconds"` // script time
	Steps   int            `json:"steps"`
	Retakes int            `json:"retakes,omitempty"` // steps that were asked again
	Voids   []VoidMeta     `json:"voids,omitempty"`
	Pauses  []PauseMeta    `json:"pauses,omitempty"`
	Finding result.Finding `json:"finding,omitempty"`
}

// VoidMeta is a stretch of steps that was set aside.
type VoidMeta struct {
	From   int    `json:"from"`
	Reason string `json:"reason"`
}

// PauseMeta is a time for which the run stood still.
type PauseMeta struct {
	At      float64 `json:"at"` // script time, seconds
	Seconds float64 `json:"seconds"`
}

func metaOf(job *Job, out *Outcome) Meta {
	m := Meta{Head: job.Head, Status: out.Status, Seconds: out.Seconds, Steps: out.Steps}
	if out.Err != nil {
		m.Reason = out.Err.Error()
	}
	if out.Results != nil {
		m.Finding = out.Results.Finding()
	}
	for _, r := range job.Journal.All() {
		switch r.Kind {
		case journal.KindVoid:
			m.Voids = append(m.Voids, VoidMeta{From: r.From, Reason: r.Reason})
		case journal.KindResume:
			m.Pauses = append(m.Pauses, PauseMeta{At: r.T, Seconds: r.PauseSeconds})
		}
	}
	for n := 1; n <= job.Journal.Steps(); n++ {
		if s, err := job.Journal.Step(n); err == nil {
			m.Retakes += s.Retakes
		}
	}
	return m
}

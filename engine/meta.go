package engine

import (
	"encoding/json"

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
	Edits   []EditMeta     `json:"edits,omitempty"`
	Finding result.Finding `json:"finding,omitempty"`
}

// VoidMeta is a stretch of steps that was set aside.
type VoidMeta struct {
	From   int    `json:"from"`
	Steps  int    `json:"steps"` // how many
	Reason string `json:"reason"`
}

// PauseMeta is a time for which the run stood still.
type PauseMeta struct {
	Step    int     `json:"step"` // the one that came next
	At      float64 `json:"at"`   // script time, seconds
	Seconds float64 `json:"seconds"`
	Reason  string  `json:"reason,omitempty"`
}

// EditMeta is an edited script that took over.
type EditMeta struct {
	Step    int         `json:"step"` // the one that came next
	File    string      `json:"file"`
	Scripts []ScriptSum `json:"scripts"`
}

func metaOf(job *Job, out *Outcome) Meta {
	m := Meta{Head: job.Head, Status: out.Status, Seconds: out.Seconds, Steps: out.Steps}
	if out.Err != nil {
		m.Reason = out.Err.Error()
	}
	if out.Results != nil {
		m.Finding = out.Results.Finding()
	}
	m.history(job.Journal)
	for n := 1; n <= job.Journal.Steps(); n++ {
		if s, err := job.Journal.Step(n); err == nil {
			m.Retakes += s.Retakes
		}
	}
	return m
}

// history lists what happened to the run beside its steps.
func (m *Meta) history(j *journal.Journal) {
	next := 1
	for _, r := range j.All() {
		switch {
		case r.Kind == journal.KindAnswer:
			next = r.Step + 1
		case r.Kind == journal.KindVoid:
			m.Voids = append(m.Voids, VoidMeta{From: r.From, Steps: next - r.From, Reason: r.Reason})
			next = r.From
		case r.Kind == journal.KindResume:
			m.Pauses = append(m.Pauses, PauseMeta{Step: next, At: r.T, Seconds: r.PauseSeconds, Reason: r.Reason})
		case r.Kind == journal.KindAside && r.Name == asideScripts:
			var now scriptsAside
			if json.Unmarshal(r.Args, &now) == nil {
				m.Edits = append(m.Edits, EditMeta{Step: next, File: now.File, Scripts: now.Scripts})
			}
		}
	}
}

// follows says whether m is of the whole journal: the run was not gone on with
// since it was written. A crash
// may have come between its end and the writing of what follows from it.
func (m *Meta) follows(j *journal.Journal) bool {
	var now Meta
	now.history(j)
	return len(m.Pauses) == len(now.Pauses) && len(m.Voids) == len(now.Voids)
}

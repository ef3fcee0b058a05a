package engine

import (
	"encoding/json"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

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
	block     int
}

// Pause is a time for which the run stood still.
type Pause struct {
	After   int     `json:"after"`   // the last step before it
	At      float64 `json:"at"`      // script time
	Seconds float64 `json:"seconds"` // its length
	Reason  string  `json:"reason"`
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

// teller follows a journal from its start.
type teller struct {
	*Inspection
	journal *journal.Journal
	next    int         // the step that comes next
	open    []int       // places in Parts, outermost first
	stopped string      // why the run stands still
	ended   bool        // it does so by what is on record
	aside   map[int]int // answered steps that each void set aside, by its record
	scripts []ScriptSum
}

// tell goes through the records that are no part of a step.
func (i *Inspection) tell(j *journal.Journal) {
	t := &teller{Inspection: i, journal: j, next: 1, scripts: i.Scripts, stopped: wasCutOff, aside: map[int]int{}}
	for n, r := range j.All() {
		if void := j.VoidedBy(n); void > 0 && r.Kind == journal.KindAnswer {
			t.aside[void]++
		}
	}
	for n, r := range j.All() {
		t.record(n, r)
	}
	for _, at := range t.open {
		p := &i.Parts[at]
		p.Open, p.Last, p.Ended = true, j.Steps(), max(i.Seconds, p.Began)
	}
}

func (t *teller) record(n int, r journal.Record) {
	inEffect := t.journal.VoidedBy(n) == 0
	switch r.Kind {
	case journal.KindAnswer:
		t.next = r.Step + 1
	case journal.KindOpen:
		if inEffect {
			t.opened(r)
		}
	case journal.KindClose:
		if inEffect {
			t.closed(r)
		}
	case journal.KindVoid:
		t.Voids = append(t.Voids, Void{From: r.From, Steps: t.aside[n], At: r.T, Reason: r.Reason})
		t.next = r.From
		if !t.ended {
			t.stopped = restarted
		}
	case journal.KindPause, journal.KindEnd:
		t.stopped, t.ended = r.Reason, true
		if r.Status == journal.Done {
			t.stopped = "it was done"
		}
	case journal.KindResume:
		t.resumed(r)
	case journal.KindAside:
		t.other(r)
	}
}

func (t *teller) opened(r journal.Record) {
	kind := ""
	if i := interludeIn(r); i != nil {
		kind = i.Kind
	}
	t.open = append(t.open, len(t.Parts))
	t.Parts = append(t.Parts, Part{Name: r.Name, Unbroken: r.Unbroken, Interlude: kind, Depth: len(t.open) - 1,
		First: t.next, Last: t.next - 1, Began: r.T, Ended: r.T, At: r.At, block: r.Block})
}

func (t *teller) closed(r journal.Record) {
	at := slices.IndexFunc(t.open, func(at int) bool { return t.Parts[at].block == r.Block })
	if at < 0 {
		return
	}
	p := &t.Parts[t.open[at]]
	p.Last, p.Ended, p.Failed = t.next-1, r.T, r.Failure != nil
	t.open = t.open[:at]
}

// restarted is why a run is resumed that went back to a step by itself, and
// never stood still.
const restarted = "steps were set aside"

func (t *teller) resumed(r journal.Record) {
	p := Pause{After: t.next - 1, At: r.T, Seconds: r.PauseSeconds, Reason: r.Reason}
	if p.Reason == "" {
		p.Reason = t.stopped
	}
	if t.stopped != restarted || p.Seconds > 0 {
		t.Pauses = append(t.Pauses, p)
	}
	t.stopped, t.ended = wasCutOff, false
}

// other takes in what was other from there on. What cannot be read, such as a
// newer version's, is told without its particulars.
func (t *teller) other(r journal.Record) {
	switch r.Name {
	case asideScripts:
		var now scriptsAside
		_ = json.Unmarshal(r.Args, &now)
		e := Edit{After: t.next - 1, File: now.File, Scripts: append([]ScriptSum{}, now.Scripts...), Changed: []string{}}
		for _, s := range e.Scripts {
			if !slices.Contains(t.scripts, s) {
				e.Changed = append(e.Changed, s.Name)
			}
		}
		t.scripts = e.Scripts
		t.Edits = append(t.Edits, e)
	case asideDevices:
		var now []bench.Named
		_ = json.Unmarshal(r.Args, &now)
		t.Swaps = append(t.Swaps, Swap{After: t.next - 1, Devices: append([]bench.Named{}, now...)})
	}
}

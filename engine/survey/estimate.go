package survey

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/script"
	"candelua/engine/store"
)

// rehearseFor is how long all the rehearsals of one call may take together.
// They are for people who wait for a list; no result depends on them.
const rehearseFor = 10 * time.Second

// estimates say about how many steps a run takes in all: as many as a run of the
// same scripts and parameters that is done. If there is none, as many as a
// rehearsal of the stored scripts, in memory, on a simulated bench.
type estimates struct {
	modules []*script.Module
	reopen  play.Reopen    // opens the simulated bench; nil: nothing is rehearsed
	done    map[string]int // steps of runs that are done
	tried   map[string]int // steps of rehearsals; 0: the rehearsal failed
}

func newEstimates(modules []*script.Module, reopen play.Reopen) *estimates {
	return &estimates{modules: modules, reopen: reopen, done: map[string]int{}, tried: map[string]int{}}
}

// sameRun is what two runs that take about as many steps have in common.
func sameRun(s *sight) string {
	sums := slices.Clone(s.history.Scripts().Scripts)
	slices.SortFunc(sums, func(a, b history.ScriptSum) int { return cmp.Compare(a.Name, b.Name) })
	key, _ := json.Marshal([]any{s.head.File, sums, s.head.Params}) // all of it came from JSON
	return string(key)
}

// learn keeps the steps of a run that is done.
func (e *estimates) learn(s *sight) {
	if s.Status == journal.Done && s.history != nil {
		e.done[sameRun(s)] = s.Steps
	}
}

// about returns how many steps a run under way takes in all. It returns 0 if the
// number is not known, or if the run has taken more steps already.
func (e *estimates) about(ctx context.Context, s *sight) int {
	if s.history == nil || s.Status != journal.Paused && s.Status != journal.Running {
		return 0
	}
	key := sameRun(s)
	steps, known := e.done[key]
	if !known {
		world, _ := json.Marshal([]any{s.head.Texts, s.head.Mode, s.head.Seed})
		key += string(world)
		if steps, known = e.tried[key]; !known {
			steps, _ = e.rehearse(ctx, s) // an error there shows again when the run goes on
			e.tried[key] = steps
		}
	}
	if steps < s.Steps {
		return 0
	}
	return steps
}

var errNoBench = errors.New("there is no bench for a rehearsal")

// rehearse executes a run's stored scripts from their start, on a bench and a
// journal of their own.
func (e *estimates) rehearse(ctx context.Context, s *sight) (steps int, err error) {
	if e.reopen == nil {
		return 0, errNoBench
	}
	folder, _, err := store.Look(s.Path)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	head := s.head
	loaded, err := procedure.Stored(ctx, folder, s.history, e.modules)
	if err != nil {
		return 0, err
	}
	file, openers, err := e.reopen(head)
	if err != nil {
		return 0, err
	}
	out, err := play.Rehearse(ctx, loaded.Program, head, file, openers, nil)
	if err != nil {
		return 0, err
	}
	return out.Steps, nil
}

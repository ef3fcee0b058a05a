package trial

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/procedure"
	"candelua/engine/script"
)

// World is a simulated unit, with its bench, whose truth is known. It is used
// by several goroutines at once.
type World interface {
	// Openers returns what opens a new bench of this world, under the driver's
	// name "sim", with a seed's noise.
	Openers(seed uint64) bench.Openers
	// Truth returns what a trial file's truth says about this world: a number
	// (float64), the path of a parameter (string), or { name = arguments }
	// (map[string]any), a function of the world.
	Truth(ref any) (float64, error)
	// Text states all parameters and faults, so that two worlds with the same text
	// are the same.
	Text() string
}

// WorldRef is what a trial file says of its world.
type WorldRef struct {
	World  any    // nil for the default, a name, a path, or a table of changes
	Faults []any  // a schedule of what goes wrong; refused where it cannot be played
	Dir    string // the folder in which paths begin
}

// Worlds makes the world that a trial file describes.
type Worlds func(WorldRef) (World, error)

// Runner runs trials.
type Runner struct {
	Shipped   fs.FS // procedures and their libraries
	Modules   []*script.Module
	Worlds    Worlds
	Workers   int    // runs at a time; 0: as many as there are cores
	Seeds     int    // in place of the trial's; 0: the trial's
	Procedure string // in place of the trial's, a shipped name or a path; "": the trial's
	// Progress, if set, is told of each run that has ended. It is called by
	// one goroutine at a time.
	Progress func(done, total int)
}

// prepared is a trial that is ready to run.
type prepared struct {
	*Trial
	name    string // of the procedure
	program *script.Program
	params  script.Params
	worlds  []World
	truths  [][]float64 // by world and expectation
}

// Run runs a trial in each of its worlds with each of its seeds. The report is
// the same whatever the number of workers. It fails as [Runner.Outcome] does.
func (r *Runner) Run(ctx context.Context, t *Trial) (*Report, error) {
	o, err := r.Outcome(ctx, t, Share{1, 1})
	if err != nil {
		return nil, err
	}
	return o.Report()
}

// Outcome makes a share of the runs of a trial. It fails, before anything is run,
// where the procedure, a parameter, a world or a truth cannot be used, and with
// ctx's cause where ctx is done.
func (r *Runner) Outcome(ctx context.Context, t *Trial, share Share) (*Outcome, error) {
	if r.Seeds > 0 {
		changed := *t
		changed.Seeds = r.Seeds
		t = &changed
	}
	p, o, err := r.prepare(ctx, t)
	if err != nil {
		return nil, err
	}
	var runs []int
	for i := range len(p.worlds) * p.Seeds {
		if share.takes(t.Name, i) {
			runs = append(runs, i)
		}
	}
	if o.Runs, err = r.runAll(ctx, p, runs); err != nil {
		return nil, err
	}
	return o, nil
}

// prepare finds all that the runs have in common.
func (r *Runner) prepare(ctx context.Context, t *Trial) (*prepared, *Outcome, error) {
	proc, err := r.procedure(t)
	if err != nil {
		return nil, nil, err
	}
	loaded, err := procedure.Load(ctx, proc, r.Modules)
	if err != nil {
		return nil, nil, err
	}
	p := &prepared{Trial: t, name: proc.Name, program: loaded.Program}
	var notes []string
	if p.params, notes, err = t.paramsOf(loaded.Contract, r.Procedure != ""); err != nil {
		return nil, nil, err
	}
	if err := r.makeWorlds(ctx, p); err != nil {
		return nil, nil, err
	}
	o, err := p.outcome(notes, loaded)
	return p, o, err
}

// makeWorlds makes the worlds and computes their truths, several at a time: some truths take as long as a
// few dozen runs.
func (r *Runner) makeWorlds(ctx context.Context, p *prepared) error {
	n := len(p.Worlds)
	p.worlds, p.truths = make([]World, n), make([][]float64, n)
	failed := make([]error, n)
	r.each(ctx, n, func(i int) {
		named := p.Worlds[i]
		w, err := r.Worlds(WorldRef{World: named.Ref, Faults: p.Faults, Dir: p.Dir})
		if err != nil {
			failed[i] = p.wrong(fmt.Errorf("world %q: %w", named.Name, err), r.whatIsWrong(p.Trial, named)...)
			return
		}
		p.worlds[i] = w
		p.truths[i], failed[i] = p.truthsIn(named.Name, w)
	})
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	return cmp.Or(failed...)
}

// Names fails where a world of a trial cannot be made, or has no parameter that a truth names. It runs nothing, and computes no
// truth that takes long.
func (r *Runner) Names(t *Trial) error {
	for _, named := range t.Worlds {
		w, err := r.Worlds(WorldRef{World: named.Ref, Faults: t.Faults, Dir: t.Dir})
		if err != nil {
			return t.wrong(fmt.Errorf("world %q: %w", named.Name, err), r.whatIsWrong(t, named)...)
		}
		for _, e := range t.Expect {
			path, isPath := e.truthIn(named.Name).(string)
			if !isPath {
				continue
			}
			if _, err := w.Truth(path); err != nil {
				return t.wrong(fmt.Errorf("world %q: expect[%q]: %w", named.Name, e.ID, err), "expect", e.ID, e.stated())
			}
		}
	}
	return nil
}

// procedure finds the procedure that the trial or the caller names. A path in
// a trial file begins at the file.
func (r *Runner) procedure(t *Trial) (*procedure.Procedure, error) {
	name := t.Procedure
	if r.Procedure != "" {
		name = r.Procedure
	} else if procedure.IsPath(name) && !filepath.IsAbs(name) {
		name = filepath.Join(t.Dir, name)
	}
	p, err := procedure.Find(name, r.Shipped)
	if err != nil && r.Procedure == "" {
		return nil, t.wrong(err, "procedure")
	}
	return p, err
}

// whatIsWrong gives the keys under which the file states what a world cannot be
// made of: its faults, where it can be made without them, else the world itself.
func (r *Runner) whatIsWrong(t *Trial, w NamedWorld) []string {
	if len(t.Faults) > 0 {
		if _, err := r.Worlds(WorldRef{World: w.Ref, Dir: t.Dir}); err == nil {
			return []string{"faults"}
		}
	}
	if t.alone {
		return []string{"world"}
	}
	return []string{"worlds", w.Name}
}

// truthsIn computes what is expected of a world.
func (t *Trial) truthsIn(name string, w World) ([]float64, error) {
	truths := make([]float64, len(t.Expect))
	for k, e := range t.Expect {
		x, err := w.Truth(e.truthIn(name))
		switch {
		case err != nil:
		case !finite(x):
			err = fmt.Errorf("the truth is %s; it must be a finite number; this world has no such truth", declare.Show(x))
		case x == 0 && e.relative():
			err = errors.New("the truth is 0, so within cannot be in percent of it; state within in the value's own unit and leave out unit = \"%\"")
		}
		if err != nil {
			return nil, t.wrong(fmt.Errorf("world %q: expect[%q]: %w", name, e.ID, err), "expect", e.ID, e.stated())
		}
		truths[k] = x
	}
	return truths, nil
}

// runAll makes some of the runs, several at a time. The outcome of a run has its
// place, so the order in which they end does not matter.
func (r *Runner) runAll(ctx context.Context, p *prepared, runs []int) ([]runResult, error) {
	out := make([]runResult, len(runs))
	done := 0
	var telling sync.Mutex
	r.each(ctx, len(runs), func(i int) {
		out[i] = p.run(ctx, runs[i])
		if r.Progress != nil {
			telling.Lock()
			defer telling.Unlock()
			done++
			r.Progress(done, len(runs))
		}
	})
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	return out, nil
}

// each does n things, as many at a time as there are workers, until ctx is done.
func (r *Runner) each(ctx context.Context, n int, do func(i int)) {
	workers := r.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var next atomic.Int64
	var group sync.WaitGroup
	for range min(workers, n) {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	group.Wait()
}

// endsWrong says in what way a run's end is not the one that the trial says,
// "" where it is.
func (o *Outcome) endsWrong(r runResult) string {
	switch {
	case o.Refuses == "" && r.Error != nil:
		return *r.Error
	case o.Refuses == "" || r.Error != nil && strings.Contains(*r.Error, o.Refuses):
		return ""
	case r.Error == nil:
		return fmt.Sprintf("the run ended without an error; it must end with an error with the text %q", o.Refuses)
	}
	return fmt.Sprintf("%s (it must end with an error with the text %q)", *r.Error, o.Refuses)
}

package engine

import (
	"context"
	"fmt"
	"time"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/play"
	"candelua/engine/procedure"
)

// Showing is a patch that a procedure asks for in a rehearsal.
type Showing struct {
	Patch bench.Patch
	At    float64 // script time, s
	Stays float64 // until the next one or, of the last, to the end, s
	// Resumed says that it is asked for only where a run goes on after a pause, or made safe.
	Resumed bool
	// Timed says that the source itself must keep its time: it belongs to a sequence.
	Timed bool
}

// Shows is what a procedure shows with some parameters.
type Shows struct {
	Title   string
	Params  map[string]any
	Patches []Showing
}

// mostShowings is how long the rehearsals for a list of patches may take; they are usually done in a second.
const mostShowings = 2 * time.Minute

// Showings gives the patches that a procedure asks for with these parameters, in order, by a rehearsal on the
// bench that [Spec.Rehearsal] makes. Behind them are those that it asks for only as a run goes on after a pause, as far
// as rehearsals that are interrupted at three places show them, and the black at the end of each run. A procedure that
// chooses patches by its readings may ask for others on a real unit.
func Showings(ctx context.Context, s Spec) (*Shows, error) {
	loaded, err := procedure.Load(ctx, s.Procedure, s.Modules)
	if err != nil {
		return nil, err
	}
	params, err := loaded.Contract.Values(s.Set)
	if err != nil {
		return nil, wrongParam(loaded.Contract, s.Procedure, err)
	}
	ctx, cancel := context.WithTimeout(ctx, mostShowings)
	defer cancel()
	head := history.Head{Engine: s.Version, Rules: history.Rules, Procedure: s.Procedure.Name, File: s.Procedure.File, Source: s.Procedure.FoundAs(),
		Scripts: loaded.Sums(), Params: params, Seed: s.Seed, Unit: s.Unit.Name}
	rehearse := func(cut int) ([]Showing, *play.Outcome, error) {
		file, openers, err := s.Rehearsal()
		if err != nil {
			return nil, nil, err
		}
		requests, out, err := play.Requests(ctx, loaded.Program, head, file, openers, cut)
		if err != nil {
			return nil, nil, notRehearsed(s.Procedure, err)
		}
		return showingsOf(requests, out.Seconds), out, nil
	}
	all, out, err := rehearse(0)
	if err != nil {
		return nil, err
	}
	for _, quarter := range []int{1, 2, 3} {
		if cut := out.Steps * quarter / 4; cut > 1 {
			more, _, err := rehearse(cut)
			if err != nil {
				return nil, err
			}
			all = append(all, others(all, more)...)
		}
	}
	all = append(all, Showing{Patch: play.Dark, Resumed: true})
	return &Shows{Title: loaded.Contract.Title, Params: params, Patches: all}, nil
}

func notRehearsed(p *procedure.Procedure, err error) error {
	return fmt.Errorf("the rehearsal of %s on a simulated bench failed, so its patches are not known: %w", p.Name, err)
}

// showingsOf are the patches among requests.
func showingsOf(requests []play.Request, ended float64) (all []Showing) {
	for _, r := range requests {
		switch q := r.Of.(type) {
		case bench.Patch:
			all = append(all, Showing{Patch: q, At: r.At})
		case []bench.TimedPatch:
			at := r.At
			for _, t := range q {
				all = append(all, Showing{Patch: t.Patch, At: at, Timed: true})
				at += t.Hold
			}
		}
	}
	for i := range all {
		end := ended
		if i+1 < len(all) {
			end = all[i+1].At
		}
		all[i].Stays = max(end-all[i].At, 0)
	}
	return all
}

// others are patches that are not among those asked for before.
func others(known, more []Showing) (new []Showing) {
	seen := map[bench.Patch]bool{}
	for _, s := range known {
		seen[s.Patch] = true
	}
	for _, s := range more {
		if !seen[s.Patch] {
			seen[s.Patch] = true
			new = append(new, Showing{Patch: s.Patch, Resumed: true})
		}
	}
	return new
}

package main

import (
	"context"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/sim"
	"candelua/engine/uncertainty"
)

// subject is what is run again and again: a script with its parameters.
type subject struct {
	name    string
	program *script.Program
	params  script.Params
}

// execute runs the subject once in a world, in memory, with the noise of a seed. An error
// that the script ends in is that of the outcome.
func (s *subject) execute(ctx context.Context, w sim.Params, seed uint64) (*play.Job, *play.Outcome, error) {
	open := func(ctx context.Context) (*bench.Bench, error) {
		return bench.Open(ctx, bench.SimFile, bench.Openers{"sim": sim.Opener(w, seed, 0)})
	}
	b, err := open(ctx)
	if err != nil {
		return nil, nil, err
	}
	defer b.Close()
	head := history.Head{Rules: history.Rules, Procedure: s.name, Params: s.params, Seed: seed, Bench: b.Name, Simulated: b.Simulated, Devices: b.Devices()}
	h, err := history.Begin(head)
	if err != nil {
		return nil, nil, err
	}
	job := play.NewJob(s.program, h)
	job.Open = open
	out, err := job.Execute(ctx)
	return job, out, err
}

// draw makes the draws of a run that is done.
func drawn(ctx context.Context, job *play.Job, r *result.Results, p uncertainty.Plan, apart bool) (*uncertainty.Drawn, error) {
	many, err := job.Many(apart)
	if err != nil {
		return nil, err
	}
	return uncertainty.Draw(ctx, many, r, p, nil)
}

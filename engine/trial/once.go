package trial

import (
	"context"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/uncertainty"
)

// run runs the procedure once, in memory, and judges what it concluded.
func (p *prepared) run(ctx context.Context, number int) runResult {
	world := number / p.Seeds
	r, err := p.execute(ctx, p.worlds[world], uint64(number%p.Seeds+1))
	if err != nil {
		text := err.Error()
		return runResult{Number: number, Error: &text}
	}
	values := make([]judged, len(p.Expect))
	for k := range p.Expect {
		values[k] = p.Expect[k].judge(r, p.truths[world][k])
	}
	return runResult{Number: number, Values: values}
}

// execute runs the procedure on a bench of its own.
func (p *prepared) execute(ctx context.Context, w World, seed uint64) (*result.Results, error) {
	open := func(ctx context.Context) (*bench.Bench, error) {
		return bench.Open(ctx, bench.SimFile, w.Openers(seed))
	}
	first, err := open(ctx)
	if err != nil {
		return nil, err
	}
	defer first.Close()
	head := history.Head{Rules: history.Rules, Procedure: p.name, Params: p.params, Seed: seed, Bench: first.Name, Simulated: first.Simulated, Devices: first.Devices()}
	h, err := history.Begin(head)
	if err != nil {
		return nil, err
	}
	used := false
	job := play.NewJob(p.program, h)
	job.Open = func(ctx context.Context) (*bench.Bench, error) {
		if !used {
			used = true
			return first, nil
		}
		return open(ctx)
	}
	out, err := interrupted(ctx, job, p.Interrupt)
	if err != nil {
		return nil, err
	}
	if out.Err != nil {
		return out.Results, out.Err
	}
	if p.Draws == 0 && len(out.Results.Standing()) == 0 {
		return out.Results, nil
	}
	many, err := job.Many(false)
	if err != nil {
		return nil, err
	}
	if err := uncertainty.Doubt(ctx, many, out.Results); err != nil || p.Draws == 0 {
		return out.Results, err
	}
	drawn, err := uncertainty.Draw(ctx, many, out.Results, uncertainty.Budgeted(p.Draws), nil)
	if err != nil {
		return nil, err
	}
	return out.Results, drawn.Conclude()
}

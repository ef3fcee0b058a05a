package scripts_test

import (
	"context"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/script"
)

// execute runs a program in memory.
func execute(t *testing.T, program *script.Program, params script.Params, seed uint64, open func(context.Context) (*bench.Bench, error)) *play.Outcome {
	t.Helper()
	b, err := open(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	head := history.Head{Params: params, Seed: seed, Simulated: true, Devices: b.Devices()}
	b.Close()
	h, err := history.Begin(head)
	if err != nil {
		t.Fatal(err)
	}
	job := play.NewJob(program, h)
	job.Open = open
	out, err := job.Execute(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// value is a number that a run concluded.
func value(t *testing.T, r *result.Results, id string) float64 {
	t.Helper()
	v, ok := r.ValueByID(id)
	if !ok || v.Value == nil {
		t.Fatalf("there is no value %s", id)
	}
	return *v.Value
}

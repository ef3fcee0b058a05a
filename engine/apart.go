package engine

import (
	"context"
	"errors"
	"fmt"

	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/store"
	"candelua/engine/uncertainty"
)

// DrawApart draws a run that is kept in a folder, n times, so that its values
// can be compared with another run's that was drawn as often: draw j of both
// has the same error wherever both share its cause, as the scale of one meter.
// See [uncertainty.Drawn.Run], [candelua/engine/draw.Difference] and [candelua/engine/draw.Ratio].
//
// It fails for a run that is not done, and as [Replay] does. Nothing is written.
func DrawApart(ctx context.Context, path string, s Setup, n int) (d *uncertainty.Drawn, err error) {
	folder, err := store.OpenReadOnly(path)
	if err != nil {
		return nil, fault.Usage(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	job, _, err := keptJob(ctx, folder, s)
	if err != nil {
		return nil, err
	}
	out, err := job.Replay(ctx)
	if err != nil {
		return nil, err
	}
	if out.Err != nil {
		return nil, out.Err
	}
	if out.Status != journal.Done {
		return nil, &fault.UsageError{Err: fmt.Errorf("run %s is %s, want one that is done", path, out.Status), Tip: "go on with it first: candelua resume " + path}
	}
	many, err := job.Many(true)
	if err != nil {
		return nil, err
	}
	return uncertainty.Draw(ctx, many, out.Results, n, nil)
}

package builtins

import (
	"context"
	"errors"
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/script"
)

// followed is what is known of a source that plays by itself.
type followed struct{ step int } // that showed the patch at which the light last showed where the source is; 0 for none

// follow waits for a patch of a source that plays by itself, and reads the light for it; nil is the patch that Show left pending.
// Where the source is not where it should be, what was read since it last surely was is set aside, and the run pauses. Other
// sources know nothing of it.
func follow(ctx context.Context, c *script.Call, p *bench.Patch) error {
	source, is := bench.As[bench.Cued](c.Bench().Patches)
	if !is {
		return nil
	}
	m, about := c.Bench().Meters["meter"], c.Host().Devices["meter"]
	if m == nil || about.ByHand {
		return bench.Errorf(bench.CodeUnsupported, "use a meter that reads by itself, or leave timed out of the section [patches] and show the files one by one",
			"a video of the whole procedure is followed by the meter, and no meter here reads by itself")
	}
	f := script.State[followed](c)
	sure, err := source.Follow(ctx, p, func(ctx context.Context) (s bench.Sample, err error) {
		n := 0
		err = m.Read(ctx, bench.ReadRequest{Most: 1}, func(raw bench.Sample) (err error) {
			n++
			s, err = bench.CheckSample(raw, about)
			return err
		})
		if err == nil && n == 0 {
			err = bench.Errorf(bench.CodeBadReading, "", "the meter returned no reading")
		}
		return s, err
	})
	switch slipped := errors.Is(err, bench.ErrSlipped); {
	case slipped && f.step > 0:
		return c.Door().SetAside(f.step, err.Error(), fmt.Sprintf("%s; the steps from %d on are repeated", fault.HintOf(err), f.step), c.Where())
	case slipped:
		return bench.Errorf(bench.CodePaused, fault.HintOf(err), "%w", err)
	case err != nil:
		return err
	}
	if sure || f.step == 0 {
		f.step = c.Door().Steps() + 1
	}
	return nil
}

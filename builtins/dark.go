package builtins

import (
	"context"

	"candelua/engine/bench"
	"candelua/engine/script"
)

// darkLive has the meter take its dark level. That it did is all that the world
// answers; what the level was is the meter's own affair.
func darkLive(ctx context.Context, c *script.Call, _ script.None) (script.None, error) {
	m := c.Bench().Meters[c.Device()]
	if m == nil {
		return script.None{}, missing(c.Device())
	}
	z, ok := bench.As[bench.Zeroer](m)
	if !ok {
		return script.None{}, bench.Errorf(bench.CodeUnsupported, "measure the dark level in the meter's own menu before the run, and remove meter.dark from the script",
			"the %s cannot measure its dark level on request", c.Device())
	}
	err := z.Zero(ctx)
	if err == nil && c.Host().Devices[c.Device()].ByHand {
		c.ByHand()
	}
	return script.None{}, err
}

func darkDerive(c *script.Call, _ script.None, _ script.None) (script.None, error) {
	zeroed(c)
	return script.None{}, nil
}

func darkRequest(_ script.None) (any, error) {
	return bench.ZeroRequest{}, nil
}

package builtins

import (
	"context"
	"math"
	"time"

	"candelua/engine/declare"
	"candelua/engine/script"
)

func clockModule() *script.Module {
	return &script.Module{Name: "clock", Help: "Bench time, in seconds; it stands still while a run is paused.", Funcs: []*script.Func{
		wait,
		script.Pure("clock.now", "seconds since the run began, pauses left out; it moves only when the world answers", func(c *script.Call, _ script.None) (float64, error) {
			return c.Now(), nil
		}),
		script.Scope("clock.every", "calls run(tick, seconds) on a fixed schedule; a late tick is skipped, never made up; false ends it", every),
	}}
}

var wait = script.Step("clock.wait", "waits", waitLive,
	func(*script.Call, waitArgs, script.None) (script.None, error) { return script.None{}, nil })

type waitArgs struct {
	Seconds float64 `lua:"seconds" pos:"1" min:"0" max:"604800" unit:"s" help:"how long, in bench time"`
}

func waitLive(ctx context.Context, c *script.Call, a waitArgs) (script.None, error) {
	clock := c.Bench().Clock
	return script.None{}, clock.WaitUntil(ctx, clock.Now()+time.Duration(math.Round(a.Seconds*1e9)))
}

type everyArgs struct {
	Period   float64          `lua:"period" min:"0.001" max:"86400" unit:"s" help:"from one tick to the next"`
	Duration float64          `lua:"duration" min:"0" max:"604800" unit:"s" help:"ticks fall from 0 to this"`
	Run      declare.Function `lua:"run" help:"function(tick, seconds) … end"`

	BeforeRestart *declare.Function `lua:"before_restart" help:"function() … end: what must be done before an interrupted schedule starts over; steps and notes only"`
}

// Schedule is how a fixed schedule was kept.
type Schedule struct {
	Ticks   int `lua:"ticks" help:"how often run was called"`
	Skipped int `lua:"skipped" help:"ticks whose time had passed"`
}

// LuaName is what scripts call it.
func (Schedule) LuaName() string { return "schedule" }

// every is an unbroken block: a schedule that was interrupted cannot be taken
// up again.
func every(c *script.Call, a everyArgs) (Schedule, error) {
	var s Schedule
	err := enclose(c, unbrokenStretch(c, "every", a.BeforeRestart), func() error {
		began := c.Now()
		last := int(math.Floor(a.Duration/a.Period + 1e-9))
		for tick := 0; tick <= last; {
			late := c.Now() - began - float64(tick)*a.Period
			if late > 1e-6 {
				missed := min(int(math.Ceil(late/a.Period-1e-9)), last+1-tick)
				s.Skipped += missed
				tick += missed
				continue
			}
			if late < 0 {
				if _, err := script.Perform[script.None](c, wait, waitArgs{Seconds: -late}); err != nil {
					return err
				}
			}
			s.Ticks++
			if c.Pass(a.Run, tick, float64(tick)*a.Period).False() {
				return nil
			}
			tick++
		}
		return nil
	})
	return s, err
}

package builtins

import (
	"context"
	"math"
	"time"

	"candelua/engine/declare"
	"candelua/engine/script"
)

func clockModule() *script.Module {
	return &script.Module{Name: "clock", Help: "Waiting and schedules. Times are in seconds and leave out the time while a run is paused.", Funcs: []*script.Func{
		wait,
		script.Pure("clock.now", "returns the seconds since the run began, without pauses; the time advances only when a step is answered", func(c *script.Call, _ script.None) (float64, error) {
			return timeNow(c, c.Now()), nil
		}),
		script.Scope("clock.every", "calls run(tick, seconds) at 0, period, 2 period and so on, up to and including duration; skips ticks whose time has passed; ends early if run returns false", every),
	}}
}

var wait = script.Step("clock.wait", "waits for a number of seconds", waitLive,
	func(*script.Call, waitArgs, script.None) (script.None, error) { return script.None{}, nil }, script.LeavesNothing())

type waitArgs struct {
	Seconds float64 `lua:"seconds" pos:"1" min:"0" max:"604800" unit:"s" help:"number of seconds to wait"`
}

func waitLive(ctx context.Context, c *script.Call, a waitArgs) (script.None, error) {
	clock := c.Bench().Clock
	return script.None{}, clock.WaitUntil(ctx, clock.Now()+time.Duration(math.Round(a.Seconds*1e9)))
}

type everyArgs struct {
	Period   float64          `lua:"period" min:"0.001" max:"86400" unit:"s" help:"time from one tick to the next"`
	Duration float64          `lua:"duration" min:"0" max:"604800" unit:"s" help:"length of the schedule; the first tick is at 0"`
	Run      declare.Function `lua:"run" help:"the function to call at each tick: function(tick, seconds) … end; tick counts from 0, and seconds is the time of the tick since the schedule began"`

	BeforeRestart *declare.Function `lua:"before_restart" help:"function() … end, called before an interrupted schedule starts over; it may take steps and record notes only"`
}

// Schedule is how a fixed schedule was kept.
type Schedule struct {
	Ticks   int `lua:"ticks" help:"how many times run was called"`
	Skipped int `lua:"skipped" help:"how many ticks were skipped because their time had passed"`
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

package builtins

import (
	"context"
	"fmt"
	"math"

	"candelua/engine/fault"
	"candelua/engine/script"
)

// guardArgs say what is looked at again, how often, and how far it may move.
type guardArgs struct {
	Patch    showArgs `lua:"patch" help:"the control patch, as for patches.show"`
	Every    float64  `lua:"every" default:"300" min:"0" max:"86400" unit:"s" help:"time from one check to the next"`
	Within   float64  `lua:"within" above:"0" max:"100" unit:"%" help:"how far its luminance may change"`
	WithinUV *float64 `lua:"within_uv" above:"0" max:"1" help:"how far its u'v' may change; when left out, only luminance is checked"`
	After    float64  `lua:"after" default:"2" min:"0" max:"86400" unit:"s" help:"delay before the reading, counted from when the patch is lit"`
	Repeats  int      `lua:"repeats" default:"3" min:"1" max:"1000" help:"single readings at each check"`
}

// Guard is a control patch that is looked at again and again.
type Guard struct {
	args  guardArgs
	first Reading // what it was
	last  float64 // when it was last looked at, script time in seconds
	good  int     // the last step of the last look that found it as it was
}

// LuaName is what scripts call it.
func (Guard) LuaName() string { return "guard" }

// Bytes is what the guard keeps: how it looks at the patch, and what it read at first.
func (*Guard) Bytes() int { return 1024 }

// guard looks at the control patch for the first time.
func guard(c *script.Call, a guardArgs) (*Guard, error) {
	g := &Guard{args: a}
	r, err := g.read(c)
	if err != nil {
		return nil, err
	}
	if !(r.Y > 0) || r.Flags.BelowFloor {
		return nil, &fault.ArgError{Arg: "patch", Got: "too dark to watch: it reads " + formatNumber(r.Y) + " cd/m2", Want: "a brighter one"}
	}
	if a.WithinUV != nil && r.U == nil {
		return nil, &fault.ArgError{Arg: "within_uv", Got: "is given, but this meter measures luminance only", Tip: "remove within_uv"}
	}
	g.first = r
	return g, g.judge(c, r)
}

// read shows the control patch and reads it. It stays on the screen.
func (g *Guard) read(c *script.Call) (Reading, error) {
	if _, err := script.Perform[Shown](c, showStep, g.args.Patch); err != nil {
		return Reading{}, err
	}
	return script.Perform[Reading](c, readStep, readArgs{Repeats: g.args.Repeats, Least: 5, Most: 50, After: g.args.After})
}

type lookArgs struct {
	Self *Guard `lua:"self"`
	Now  bool   `lua:"now" default:"false" help:"true: checks even if no check is due"`
}

// look rereads the control patch if a look is due. It is true if it looked.
func look(c *script.Call, a lookArgs) (bool, error) {
	g := a.Self
	if !a.Now && c.Now() < g.last+g.args.Every {
		return false, nil
	}
	r, err := g.read(c)
	if err != nil {
		return false, err
	}
	return true, g.judge(c, r)
}

type heldArgs struct {
	Moved   float64  `lua:"moved" match:"no" unit:"%" help:"how far the luminance has moved"`
	MovedUV *float64 `lua:"moved_uv" match:"no" help:"how far u'v' has moved"`
	Held    bool     `lua:"held" match:"no" help:"whether that is within what was asked"`
}

type heldAnswer struct {
	Held bool `json:"held"`
}

// heldStep keeps what was found in the journal, so that another analysis of the
// same readings follows it.
var heldStep = script.Step("run.held", "keeps whether a control patch was as before", heldLive,
	func(_ *script.Call, _ heldArgs, w heldAnswer) (bool, error) { return w.Held, nil }, script.Device(""), script.LeavesNothing())

func heldLive(_ context.Context, _ *script.Call, a heldArgs) (heldAnswer, error) {
	return heldAnswer{a.Held}, nil
}

// judge keeps whether the control patch is as it was. If it is not, what was
// read since the last good look is set aside, and the run pauses.
func (g *Guard) judge(c *script.Call, r Reading) error {
	a := heldArgs{Moved: 100 * (r.Y/g.first.Y - 1)}
	a.Held = math.Abs(a.Moved) <= g.args.Within
	if g.args.WithinUV != nil && r.U != nil {
		d := math.Hypot(*r.U-*g.first.U, *r.V-*g.first.V)
		a.MovedUV, a.Held = &d, a.Held && d <= *g.args.WithinUV
	}
	held, err := script.Perform[bool](c, heldStep, a)
	if err != nil {
		return err
	}
	if !held {
		return c.Door().SetAside(g.good+1, g.says(a), fmt.Sprintf("check the meter, the unit and its screen, then resume; the steps from %d on are repeated; "+
			"if the first reading of the control patch was wrong, resume with --from and --because from that reading on", g.good+1), c.Where())
	}
	g.good, g.last = c.Door().Steps(), c.Now()
	return nil
}

func (g *Guard) says(a heldArgs) string {
	text := fmt.Sprintf("the control patch has moved by %+.2g %% (at most %g %%)", a.Moved, g.args.Within)
	if a.MovedUV != nil {
		text += fmt.Sprintf(" and %.2g in u'v' (at most %g)", *a.MovedUV, *g.args.WithinUV)
	}
	return text
}

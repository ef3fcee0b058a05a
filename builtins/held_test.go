package builtins

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/sandbox"
	"candelua/engine/script"
	"candelua/testdata/campaign"
)

// grow keeps all that a call gives, over and over. It gives how the script ends, and after
// how much work; nil where the call gives no object.
func (a attempt) grow(t *testing.T, n, collect int) (work int64, end error) {
	t.Helper()
	defer debug.SetGCPercent(debug.SetGCPercent(collect))
	r := newRig()
	r.light = func(float64) bench.Sample { return bench.Sample{X: 95, Y: 100, Z: 109, Colour: true} }
	r.bench.Rig = ableSurround{fakeSurround: newSurround(r)}
	program, err := script.Compile("test.lua", fmt.Appendf(nil, `return procedure { title = "t", purpose = "p", %s run = function()
local n = %d
%s
local a = %s
local f = %s
local ok, x = pcall(f, unpack(a))
if type(x) ~= "userdata" then return end
local all = {}
for i = 1, 1e9 do ok, all[i] = pcall(f, unpack(a)) end
end }`, allNeeds, n, prelude, a.args, a.fn), nil, Modules())
	if err != nil {
		t.Fatal(err)
	}
	rt, err := program.Start(context.Background(), r.host())
	if err != nil {
		t.Fatal(err)
	}
	defer rt.Close()
	end = rt.Run(script.Params{})
	return rt.Work(), end
}

// TestObjectsAreCounted: a script that only collects what a builtin gives, ends by
// what is counted, and never by the heap; so it ends at the same place with garbage collected often and
// seldom. This is so of any builtin without a step: steps are kept in a journal.
func TestObjectsAreCounted(t *testing.T) {
	var pure []*script.Func
	for _, m := range Modules() {
		for _, f := range m.Funcs {
			if f.Class == script.ClassPure {
				pure = append(pure, f)
			}
		}
	}
	type member struct {
		name  string
		check func(*testing.T)
	}
	var all []member
	for _, a := range []attempt{{"colour.planck", "{ 5000 }"}, {"colour.list", "{ stimuli() }"}, {"stats.decay", "{ { from = ramp(), to = ramp(), y = falling() } }"}} {
		all = append(all, member{"large/" + a.fn, func(t *testing.T) {
			if !a.endsByCount(t, 400) {
				t.Error("it gives no object")
			}
		}})
	}
	for _, f := range campaign.Part(t, pure, len(pure)/4, len(pure)/4) {
		all = append(all, member{f.Name, func(t *testing.T) {
			if accepted, _ := attempts(t, f); len(accepted) > 0 {
				accepted[0].endsByCount(t, 500)
			}
		}})
	}
	for _, m := range campaign.Some(t, all, 1) {
		t.Run(m.name, m.check)
	}
}

func (a attempt) endsByCount(t *testing.T, n int) (gives bool) {
	t.Helper()
	work, often := a.grow(t, n, 25)
	if often == nil {
		return false
	}
	again, seldom := a.grow(t, n, 400)
	if !errors.Is(often, sandbox.ErrMemory) && !errors.Is(often, sandbox.ErrBudget) || !strings.HasPrefix(often.Error(), "test.lua:") {
		t.Errorf("%s(%s) ends with %v", a.fn, a.args, often)
	}
	if often.Error() != fmt.Sprint(seldom) || work != again {
		t.Errorf("%s(%s): it ends with %q after %d, or with %q after %d", a.fn, a.args, often, work, seldom, again)
	}
	return true
}

// TestContractsAreCounted: what only the functions of a procedure hold that a script declared is counted, too.
func TestContractsAreCounted(t *testing.T) {
	err := newRig().load(t, `local t = {} for i = 1, 1e5 do
local s = ("x"):rep(1e6) .. i
t[i] = procedure { title = "t", purpose = "p", needs = {}, run = function() return s end }
end return t[1]`)
	if !errors.Is(err, sandbox.ErrMemory) {
		t.Errorf("it ends with %v", err)
	}
}

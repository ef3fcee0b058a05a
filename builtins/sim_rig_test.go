package builtins

import "testing"

// What the room, the angle, the place and the dark level do to a reading is the
// world's; that they reach it is what is tested here.
func TestRigOnSimulatedBench(t *testing.T) {
	r := onSim(t)
	if r.bench.Rig == nil {
		t.Fatal("the simulated bench has no rig")
	}
	err := r.play(t, `
unit.set { ["Automatic brightness"] = "off", Brightness = "maximum" }
patches.show { grey = 0, window = 100 }
rig.set { lamp = "front", level = 0 }
meter.dark()
local dark_lux, dark = rig.lux(), meter.read { repeats = 5 }
rig.set { lamp = "front", level = 100 }
local lux, lit = rig.lux {}, meter.read { repeats = 5 }
assert(lux > dark_lux + 1, lux)
assert(lit.Y > dark.Y + 3 * (lit.u_Y + dark.u_Y), lit.Y)
rig.set { lamp = "front", level = 0 }

patches.show { grey = 1, window = 100 }
local straight = meter.read { repeats = 5, after = 5 }
local reached = rig.turn { degrees = 45 }
assert(math.abs(reached - 45) <= 1, reached)
local aside = meter.read { repeats = 5 }
assert(aside.Y < straight.Y, aside.Y)
rig.turn { degrees = 0 }
local corner = meter.read { repeats = 5, at = { 0.02, 0.02 } }
assert(corner.Y < straight.Y - 3 * (corner.u_Y + straight.u_Y), corner.Y)
local p = rig.place { x = 0.02, y = 0.02 }
assert(math.abs(p.x - 0.02) < 0.01 and math.abs(p.y - 0.02) < 0.01)
local placed = meter.read { repeats = 5 }
assert(math.abs(placed.Y - corner.Y) < 0.02 * corner.Y, placed.Y)

local s = patches.sequence { { grey = 1, window = 10, hold = 5 }, { grey = 0.5, window = 10, hold = 2 } }
assert(math.abs(s[2].lit - s[1].lit - 5) < 1e-9)
assert(clock.now() - s[2].lit >= 2 - 1e-9)`)
	if err != nil {
		t.Fatal(err)
	}
	last := r.rows[len(r.rows)-1]
	if last.Rig["lamp front (%)"] != 0 || last.Rig["angle horizontal (degrees)"] != 0 || !near(last.Rig["meter x"], 0.02, 0.01) {
		t.Errorf("the last reading has the rig %v", last.Rig)
	}
}

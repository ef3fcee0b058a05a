-- Automatic brightness goes by what the room was before, so an interruption while it follows begins the rise and the
-- fall anew; while automatic brightness is off, the run goes on where it was, with a lamp that is warm again. What comes of it is that of
-- an unbroken run (see trials/ambient.lua).
return trial {
  title     = "automatic brightness in a lit room, interrupted before and on the way up",
  procedure = "ambient",
  params    = { levels = { 0, 25, 50, 100 }, longest_settling = 0, delay = 4 },
  interrupt = { { at = 1100, pause = 600 }, { at = 4480, pause = 300 } },
  worlds    = {
    ["reluctant"] = { base = "default", ["adaptive.hysteresis"] = 150, ["rig.lux_scale"] = 0, ["rig.lux_zero"] = 0 },
  },
  expect = {
    ["reflectance"] = { truth = "room.reflectance", within = 2, unit = "%" },
    ["difference-between-down-and-up"] = { truth = 14.45, within = 0.7 },
    ["change-by-the-room-automatic-brightness-off"] = { truth = 0, within = 0.6, bound = "upper", bound_within = 1 },
    ["change-of-tone"] = { truth = 0, within = 0.02, bound = "upper", bound_within = 0.03 },
  },
  seeds = 10,
}

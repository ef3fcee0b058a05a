-- Its author wrote it for the steady world. What is true there, in the author's words:
--   dE00 of white [dE00]: 0: the unit meets the target. The number is 8.61765e-14
--   Distance [u'v']: 0. The number is 5.55112e-17
--   CCT away from the target [K]: 0. The number is 5.45697e-12
--   Duv [1]: Duv of 0.306, 0.322. The number is 0.00306278
return procedure {
  title = "White against its target",
  purpose = "Distance of white from the chromaticity that it was adjusted to.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  params = {
    x = { default = 0.306, min = 0, max = 1, help = "sets the target's x" },
    y = { default = 0.322, min = 0.01, max = 1, help = "sets the target's y" },
  },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    local w = meter.measure {}
    local target = { x = p.x, y = p.y, Y = w.Y }
    record.value { name = "dE00 of white", value = colour.delta_e2000 { a = target, b = w, white = target }, unit = "dE00", tolerance = { max = 3 } }
    record.value { name = "Distance", value = colour.delta_uv(target, w), unit = "u'v'" }
    local c, t = colour.cct(w), colour.cct(target)
    record.value { name = "CCT away from the target", value = math.abs(c.cct - t.cct), unit = "K" }
    record.value { name = "Duv", value = c.duv, unit = "1" }
  end,
}

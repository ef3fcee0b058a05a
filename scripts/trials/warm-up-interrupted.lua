-- A warm-up that is interrupted in its middle for some minutes. The unit is half warm
-- then, and must cool before the series begins again.
return trial {
  title     = "a warm-up that was interrupted, and began again with a cold unit",
  procedure = "warm-up",
  interrupt = { { at = 1500, pause = 300 } },
  worlds    = {
    ["cold phone"] = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 900, 4 } } },
  },
  expect = {
    ["warm-up-time"]    = { truth = { warm_up_time = {} }, within = 8, unit = "%" },
    ["thermal-dimming"] = { truth = { thermal_dimming = {} }, within = 0.5 },
  },
  seeds = 10,
  pass  = 0.9,
}

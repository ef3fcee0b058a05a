-- A meter that scatters by 0.3 %, three times as much as the spectroradiometer: all
-- readings together tell the drift, not the first and the last.
return trial {
  title     = "the drift with a meter that scatters a lot",
  procedure = "warm-up",
  params    = { white_for = 0 },
  worlds    = {
    ["one term"]   = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 700, 6 } }, ["meter.repeatability"] = 0.3 },
    ["television"] = { base = "fulmar-55", ["warmup.on_for"] = 0, ["meter.repeatability"] = 0.3 },
  },
  expect = {
    ["warm-up-time"]  = { truth = { warm_up_time = {} }, within = 10, unit = "%", or_not_evaluated = true },
    ["warm-up-drift"] = { truth = { warm_up_drift = { from = 17 } }, within = 0.25, or_not_evaluated = true },
  },
}

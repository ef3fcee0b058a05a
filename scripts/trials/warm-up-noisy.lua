-- A meter that scatters by 0.3 % is three times as bad as the spectroradiometer: the
-- drift is known from all readings together, not from the first and the last.
return trial {
  title     = "the drift by a meter that scatters much",
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

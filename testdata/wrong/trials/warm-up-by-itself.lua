-- A phone that warms up, and dims where heat comes on top.
return trial {
  title     = "the warm-up by itself, on a panel that dims by heat",
  procedure = "warm-up",
  params    = { white_for = 0, duration = 2400 },
  worlds    = { ["dims by heat"] = { ["warmup.on_for"] = 0, ["thermal.from"] = 0.2, ["thermal.by"] = 30 } },
  expect    = {
    ["warm-up-time"]  = { truth = { warm_up_time = {} }, within = 8, unit = "%" },
    ["warm-up-drift"] = { truth = { warm_up_drift = { from = 17, seconds = 2400 } }, within = 0.4 },
  },
}

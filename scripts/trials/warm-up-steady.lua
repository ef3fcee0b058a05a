-- Units that need no time, and one that was warm: the time until the first reading is
-- stated as an upper limit.
return trial {
  title     = "an upper limit where the drift is small enough from the first reading on",
  procedure = "warm-up",
  worlds    = {
    ["hardly drifts"]    = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 900, 0.3 } } },
    ["drifts not"]       = { ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 } },
    ["settles at once"]  = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 4, 3 } }, ["warmup.colour"] = { 0, 0, 0 } },
  },
  expect = {
    ["warm-up-time"]  = { truth = { warm_up_time = {} }, within = 2, unit = "s", bound = "upper", bound_within = 20 },
    ["warm-up-drift"] = { truth = { warm_up_drift = { from = 17 } }, within = 0.3 },
  },
}

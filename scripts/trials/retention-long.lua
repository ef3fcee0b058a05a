-- A residual that stays for minutes, on a panel that still warms up. It is in all
-- readings of the stressed place, so only a place that was never stressed tells what
-- the warming did.
local stress = { at = { 0.25, 0.25 }, seconds = 60, probe = 0.2, within = 0.3 }

return trial {
  title     = "a residual that stays for minutes, on panels that are still warming up",
  procedure = "retention",
  params    = { duration = 600 },
  worlds    = {
    ["warms quickly"]   = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 300, 8 } }, ["retention.terms"] = { { 30, 250, 5, 0 } } },
    ["warms slowly"]    = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 1500, -12 } }, ["retention.terms"] = { { 30, 250, 5, 0 } } },
    ["lit from behind"] = { base = "dunlin-27", ["warmup.on_for"] = 0, ["retention.terms"] = { { 30, 250, 3, 0 } } },
  },
  expect = {
    ["initial-residual"]  = { truth = { residual = stress }, within = 0.3 },
    ["time-to-threshold"] = { truth = { residual_time = stress }, within = 20, unit = "%" },
    ["time-constant"]        = { truth = { residual_constant = stress }, within = 20, unit = "%" },
  },
  pass = 0.95,
}

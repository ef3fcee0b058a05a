-- While a panel still warms up, what a place showed before does not tell what it would
-- show now without a stress. Only a place that was never stressed tells.
local stress = { at = { 0.25, 0.25 }, seconds = 60, probe = 0.2, within = 0.3 }

return trial {
  title     = "the residual on panels that are still warming up",
  procedure = "retention",
  worlds    = {
    ["warms quickly"]   = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 300, 8 } }, ["retention.terms"] = { { 30, 100, 4, 0 } } },
    ["warms slowly"]    = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 1500, -12 } }, ["retention.terms"] = { { 30, 100, 4, 0 } } },
    ["lit from behind"] = { base = "dunlin-27", ["warmup.on_for"] = 0, ["retention.terms"] = { { 30, 60, 3, 0 } } },
  },
  expect = {
    ["initial-residual"]  = { truth = { residual = stress }, within = 0.3 },
    ["time-to-threshold"] = { truth = { residual_time = stress }, within = 40, unit = "%" },
    ["time-constant"]        = { truth = { residual_constant = stress }, within = 40, unit = "%" },
  },
  pass = 0.95,
}

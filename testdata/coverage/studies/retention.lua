-- What stays of a minute of white, and how it fades.
local stress = { at = { 0.25, 0.25 }, seconds = 60, probe = 0.2, within = 0.3 }
return trial {
  procedure = "retention",
  worlds    = {
    ["one term"] = { ["retention.terms"] = { { 20, 35, 3, 0.002 } }, ["meter.scale"] = 1, ["meter.xy"] = 0.001, ["meter.dark"] = 0.001 },
    ["slow"]     = { ["retention.terms"] = { { 30, 80, 3, 0 } }, ["meter.scale"] = 1, ["meter.xy"] = 0.001, ["meter.dark"] = 0.001 },
  },
  draws     = 100,
  expect    = {
    ["initial-residual"]  = { truth = { residual = stress }, within = 100 },
    ["time-to-threshold"] = { truth = { residual_time = stress }, within = 1e6, unit = "%", or_not_evaluated = true },
    ["time-constant"]        = { truth = { residual_constant = stress }, within = 1e6, unit = "%", or_not_evaluated = true },
  },
}

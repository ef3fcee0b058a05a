-- A run that is interrupted while it reads a decay. What is in the panel must fade
-- before the stress begins again.
local stress = { at = { 0.25, 0.25 }, seconds = 60, probe = 0.2, within = 0.3 }

return trial {
  title     = "the residual where the decay was interrupted and the stress began again",
  procedure = "retention",
  interrupt = { { at = 1300, pause = 600 } },
  worlds    = { ["strong"] = { ["retention.terms"] = { { 20, 35, 3, 0.002 } } } },
  expect = {
    ["initial-residual"]  = { truth = { residual = stress }, within = 0.3 },
    ["time-to-threshold"] = { truth = { residual_time = stress }, within = 40, unit = "%" },
    ["time-constant"]        = { truth = { residual_constant = stress }, within = 40, unit = "%" },
  },
  seeds = 10,
  pass  = 0.9,
}

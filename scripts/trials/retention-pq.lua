-- The same with an HDR signal, where power limiting changes with the stress.
local stress = { at = { 0.25, 0.25 }, seconds = 60, signal = "pq", probe = 0.35, within = 0.3 }

return trial {
  title     = "the residual of an HDR stress where power limiting recovers slowly",
  procedure = "retention",
  params    = { signal = "pq", test_grey = 0.35 },
  worlds    = {
    ["phone"]      = { ["retention.terms"] = { { 14, 30, 2, 0.002 } } },
    ["television"] = { base = "fulmar-55", ["retention.terms"] = { { 40, 90, 3, 0.001 } } },
  },
  expect = {
    ["initial-residual"]  = { truth = { residual = stress }, within = 0.3 },
    ["time-to-threshold"] = { truth = { residual_time = stress }, within = 40, unit = "%" },
    ["time-constant"]        = { truth = { residual_constant = stress }, within = 40, unit = "%" },
  },
  pass = 0.95,
}

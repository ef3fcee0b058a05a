-- The residual of a minute of a white window, and how it fades. A spectroradiometer
-- that scatters by 0.1 % in a second finds an initial residual of 1 % to about 0.1 %,
-- and its times to about 10 %, each as a standard deviation.
local stress = { at = { 0.25, 0.25 }, seconds = 60, probe = 0.2, within = 0.3 }

return trial {
  title     = "the residual of a stress, its decay and its colour",
  procedure = "retention",
  worlds    = {
    ["strong"]     = { ["retention.terms"] = { { 20, 35, 3, 0.002 } } },
    ["slow"]       = { ["retention.terms"] = { { 30, 80, 3, 0 } } },
    ["darkens"]    = { ["retention.terms"] = { { 25, 50, -2.5, 0 } } },
    ["two terms"]  = { ["retention.terms"] = { { 8, 12, 3, 0 }, { 60, 120, 2, 0 } } },
    ["cold panel"] = { ["warmup.on_for"] = 0, ["retention.terms"] = { { 20, 35, 3, 0.002 } } },
    ["television"] = { base = "fulmar-55", ["retention.terms"] = { { 40, 60, 8, 0.001 } } },
  },
  expect = {
    ["initial-residual"]  = { truth = { residual = stress }, within = 0.3 },
    ["initial-colour-shift"]    = { truth = { residual_shift = stress }, within = 0.0005, bound = "upper", bound_within = 0.0003 },
    ["time-to-threshold"] = { truth = { residual_time = stress }, within = 40, unit = "%" },
    ["time-constant"]        = { truth = { residual_constant = stress }, within = 40, unit = "%" },
  },
  pass = 0.95,
}

-- A residual of half a percent, five times the scatter of a reading; and one that is
-- nearly gone within seconds, with a slower one behind it. Their size is stated, their
-- times only where the readings tell them.
local stress = { at = { 0.25, 0.25 }, seconds = 60, probe = 0.2, within = 0.3 }

return trial {
  title     = "a weak residual, and one of two signs with a filter colorimeter",
  procedure = "retention",
  worlds    = { ["phone"] = "default", ["filters, two signs"] = "awkward" },
  expect    = {
    ["initial-residual"]  = { truth = { residual = stress }, within = 0.6 },
    ["initial-colour-shift"]    = { truth = { residual_shift = stress }, within = 0.0006, bound = "upper", bound_within = 0.0006 },
    ["time-to-threshold"] = { truth = { residual_time = stress }, within = 10, unit = "s", or_not_evaluated = true },
    ["time-constant"]        = { truth = { residual_constant = stress }, within = 60, unit = "%", or_not_evaluated = true },
  },
  pass = 0.95,
}

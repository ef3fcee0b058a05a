-- After a stress of seven seconds the residual is so near to the threshold that a
-- little noise decides when it passes. Then a limit or no time is stated, but no wrong
-- one.
--
-- A decay of two terms is not among these worlds: it is so weak that in some runs one
-- term fits as well, and the times are wrong by half without a sign of it.
local stress = { at = { 0.25, 0.25 }, seconds = 7, probe = 0.2, within = 0.3 }

return trial {
  title     = "the residual of a stress of seven seconds, whose times may not be known",
  procedure = "retention",
  params    = { stress = 7 },
  worlds    = {
    ["strong"]     = { ["retention.terms"] = { { 20, 35, 3, 0.002 } } },
    ["stronger"]   = { ["retention.terms"] = { { 20, 35, 8, 0 } } },
    ["television"] = { base = "fulmar-55", ["retention.terms"] = { { 10, 40, 16, 0.001 } } },
  },
  expect = {
    ["initial-residual"]  = { truth = { residual = stress }, within = 0.3 },
    ["time-to-threshold"] = { truth = { residual_time = stress }, within = 40, unit = "%", or_not_evaluated = true },
    ["time-constant"]        = { truth = { residual_constant = stress }, within = 40, unit = "%", or_not_evaluated = true },
  },
  pass = 0.95,
}

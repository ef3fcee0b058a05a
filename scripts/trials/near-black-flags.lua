-- Where the meter cannot read white, there is no target and there are no crushed
-- steps; the first step above black needs no white. Where the meter sees past the
-- window, neither is known.
return trial {
  title     = "the first step above black without a white, and none where the meter sees past the window",
  procedure = "near-black",
  worlds    = {
    ["saturated"]   = { ["meter.saturation"] = 300 },
    ["underfilled"] = { ["meter.field"] = 85, ["meter.sees_field"] = "yes" },
    ["slow white"]  = { ["limit.curve"] = { { 0, 1 }, { 0.02, 1 }, { 0.1, 0.7 }, { 1, 0.3 } }, ["limit.seconds"] = 8 },
  },
  expect = {
    ["first-step-above-black"] = { truth = { first_code = {} }, within = 0, or_not_evaluated = true },
    ["crushed-steps"]              = { truth = { crush = {} }, within = 0, or_not_evaluated = true },
  },
}

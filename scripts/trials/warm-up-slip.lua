-- The meter slips on its mount, which no decay follows. No number is right then. The
-- truth stated here is one that no value can have, so that only "not evaluated"
-- passes.
local none = { truth = -1e6, within = 0, or_not_evaluated = true }

return trial {
  title     = "no time, drift or dimming from a series in which the meter slipped",
  procedure = "warm-up",
  worlds    = {
    ["phone"]      = { ["warmup.on_for"] = 0 },
    ["television"] = { base = "fulmar-55", ["warmup.on_for"] = 0 },
  },
  faults = {
    { kind = "slip", at_second = 4800, seconds = 300, percent = 98 },
    { kind = "slip", at_second = 5700, percent = 95 },
  },
  expect = { ["warm-up-time"] = none, ["warm-up-drift"] = none, ["thermal-dimming"] = none },
}

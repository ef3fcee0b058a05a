-- A run that is stopped in its middle while the display sleeps and cools down.
-- Read on at once, the steps after the pause belong to another light. A run that
-- does not stand still finds the exponent within 0.003, so that is what is asked.
return trial {
  title     = "the exponent, where the run stood still and the display cooled",
  procedure = "tone-response",
  interrupt = { { at = 60, pause = 1200 } },
  worlds    = {
    ["cools"]      = { ["warmup.terms"] = { { 600, 8 } }, ["warmup.on_for"] = 7200 },
    ["brightens"]  = { ["warmup.terms"] = { { 600, -8 } }, ["warmup.on_for"] = 7200 },
    ["television"] = { base = "fulmar-55", ["tone.kind"] = "power", ["tone.exponent"] = 2.1,
      ["warmup.terms"] = { { 500, 6 } }, ["warmup.on_for"] = 7200 },
  },
  expect = { gamma = { truth = "tone.exponent", within = 0.003 } },
}

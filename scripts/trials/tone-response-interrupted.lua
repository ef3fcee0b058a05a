-- A run that is stopped in its middle while the display is idle and cools. Without a
-- new warm-up the steps after the pause would have another luminance. A run without a
-- pause finds the gamma within 0.003, so this one must, too.
return trial {
  title     = "the gamma where the run was paused and the display cooled",
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

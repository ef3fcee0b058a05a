-- A panel that is marked easily, warm or not; and one that a quick meter looks at. Truths are the simulator's.
local marks = { { 14, 22, 6, 0.01 } }
local stress = { at = { 0.25, 0.25 }, seconds = 60, probe = 0.2, within = 0.3 }

return trial {
  title     = "what a white window of a minute leaves behind, and for how long",
  procedure = "retention",
  worlds    = {
    ["marks easily"] = { ["retention.terms"] = marks },
    ["warming"]      = { ["retention.terms"] = marks, ["warmup.on_for"] = 30 },
    ["quick meter"]  = { ["retention.terms"] = marks, ["meter.integration"] = 0.08, ["meter.repeatability"] = 0.22 },
  },
  expect    = {
    ["initial-residual"]  = { truth = { residual = stress }, within = 0.35 },
    ["time-to-threshold"] = { truth = { residual_time = stress }, within = 12, unit = "s" },
  },
}

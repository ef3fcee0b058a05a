-- A panel that is marked easily, warm or not; and one that a quick meter looks at. Truths are the simulator's.
local marks = { { 14, 22, 6, 0.01 } }

return trial {
  title     = "what a white box of a minute leaves behind, and for how long",
  procedure = "../right/retention.lua",
  worlds    = {
    ["marks easily"] = { ["retention.terms"] = marks },
    ["warming"]      = { ["retention.terms"] = marks, ["warmup.on_for"] = 30 },
    ["quick meter"]  = { ["retention.terms"] = marks, ["meter.integration"] = 0.08, ["meter.repeatability"] = 0.22 },
  },
  expect    = {
    ["residual"]      = { truth = { residual = {} }, within = 0.35 },
    ["residual-time"] = { truth = { residual_time = {} }, within = 14, unit = "s" },
  },
}

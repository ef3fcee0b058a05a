-- A meter that scatters by a fifth or a third of a step: a step that looks odd is read again
-- until it is plain what it is.
return trial {
  title     = "steps that merge under a meter that scatters much, on a stretch of codes",
  procedure = "banding",
  params    = { from = 215, to = 245 },
  worlds    = {
    ["phone"]      = { ["meter.repeatability"] = 0.3, ["tone.merged"] = { { 230, 231 } } },
    ["television"] = { base = "fulmar-55", ["light.white"] = 936, ["meter.repeatability"] = 0.2, ["tone.merged"] = { { 225, 227 } } },
  },
  expect = {
    ["merged-steps"]   = { truth = { merged_steps = { from = 215, to = 245 } }, within = 0 },
    ["jumps"]          = { truth = { jumps = { from = 215, to = 245 } }, within = 0 },
    ["reversed-steps"] = { truth = 0, within = 0 },
  },
}

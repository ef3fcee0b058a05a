-- A meter that scatters by a fifth or a third of a step. A step that looks
-- suspicious is read again until the readings tell what it is.
return trial {
  title     = "merged steps with a meter that scatters a lot, on a short range of codes",
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

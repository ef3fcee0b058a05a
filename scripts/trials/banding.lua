-- The number of merged steps and of jumps, on several kinds of curves.
return trial {
  title     = "merged steps and jumps, for every kind of curve and meter",
  procedure = "banding",
  worlds    = {
    ["as shipped"]         = "default",
    ["two ranges merge"]   = { ["tone.merged"] = { { 20, 21 }, { 130, 133 } } },
    ["another exponent"]   = { ["tone.exponent"] = 2.5, ["tone.merged"] = { { 60, 62 }, { 250, 251 } } },
    ["lit from behind"]    = { base = "dunlin-27", ["tone.merged"] = { { 40, 41 }, { 200, 203 } } },
    ["another family"]     = { base = "fulmar-55", ["tone.merged"] = { { 100, 104 } } },
    ["bright, limits"]     = { base = "fulmar-55", ["light.white"] = 936, ["tone.merged"] = { { 60, 62 }, { 180, 183 } } },
    ["filters, by points"] = "awkward",
  },
  expect = {
    ["merged-steps"]   = { truth = { merged_steps = {} }, within = 0 },
    ["jumps"]          = { truth = { jumps = {} }, within = 0 },
    ["reversed-steps"] = { truth = 0, within = 0 },
  },
}

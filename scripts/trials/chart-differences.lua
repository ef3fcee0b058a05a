-- Displays with the primaries of BT.709 and known errors: a gamma of 2.4 and a white at
-- x 0.305, y 0.322. The truths were computed independently from the rule of the set and
-- [CIE 142] (testdata/crosscheck/procedures.py). The panels drift by about 0.2 % while
-- colours are read, which is up to 0.07 in L*. One or two of 64 colours are so near to
-- the threshold that they may cross it.
local off = { { name = "Off", tone = "power", exponent = 2.4, gamut = "bt709", white = { 0.305, 0.322 } } }

return trial {
  title     = "the differences of displays with a wrong gamma and a wrong white, with the measured white as reference",
  procedure = "chart",
  params    = { delay = 4, colours = 64 },
  worlds    = {
    ["phone"]           = { base = "default", modes = off, mode = "Off", ["light.black"] = 0 },
    ["white subpixels"] = { base = "fulmar-55", modes = off, mode = "Off", ["light.black"] = 0, ["primaries.white_boost"] = 0 },
    ["lit from behind"] = { base = "dunlin-27", modes = off, mode = "Off", ["light.black"] = 0 },
    ["no noise"]        = { base = "ideal", modes = off, mode = "Off" },
  },
  expect = {
    ["average-delta-e2000"]          = { truth = 2.307, within = 0.07 },
    ["median-delta-e2000"]           = { truth = 2.3101, within = 0.07 },
    ["95th-percentile-delta-e2000"]    = { truth = 3.3398, within = 0.07 },
    ["maximum-delta-e2000"]            = { truth = 3.4546, within = 0.07 },
    ["average-delta-e2000-of-greys"] = { truth = 2.2006, within = 0.07 },
    ["share-above-threshold"]       = { truth = 15.625, within = 3.2 },
  },
}

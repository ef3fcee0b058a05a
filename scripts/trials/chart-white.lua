-- The displays of chart-differences, with the white of the space as reference and
-- without luminance. The truths were computed in the same way. The colour of the
-- phone moves by up to 0.0003 in u'v' while it cools, which is 0.15 in the difference
-- of one colour and less in the average.
local off = { { name = "Off", tone = "power", exponent = 2.4, gamut = "bt709", white = { 0.305, 0.322 } } }

return trial {
  title     = "chromaticity differences of displays with a wrong gamma and a wrong white, with the white of the space as reference",
  procedure = "chart",
  params    = { delay = 4, white = "target", luminance_counts = false, colours = 64 },
  worlds    = {
    ["phone"]           = { base = "default", modes = off, mode = "Off", ["light.black"] = 0 },
    ["white subpixels"] = { base = "fulmar-55", modes = off, mode = "Off", ["light.black"] = 0, ["primaries.white_boost"] = 0 },
    ["lit from behind"] = { base = "dunlin-27", modes = off, mode = "Off", ["light.black"] = 0 },
    ["no noise"]        = { base = "ideal", modes = off, mode = "Off" },
  },
  expect = {
    ["average-delta-e2000"]          = { truth = 1.4965, within = 0.07 },
    ["median-delta-e2000"]           = { truth = 1.3857, within = 0.1 },
    ["95th-percentile-delta-e2000"]    = { truth = 2.8045, within = 0.2 },
    ["maximum-delta-e2000"]            = { truth = 3.5295, within = 0.2 },
    ["average-delta-e2000-of-greys"] = { truth = 2.2729, within = 0.15 },
    ["share-above-threshold"]       = { truth = 3.125, within = 1.6 }, -- one colour of 64 is near the threshold
  },
}

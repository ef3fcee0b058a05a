-- The display of chart-differences, whose truths are known, by meters that are off:
-- means and medians hold the truth as often as they should; a worst case is a
-- largest of many, and does so in nine of ten.
local off = { { name = "Off", tone = "power", exponent = 2.4, gamut = "bt709", white = { 0.305, 0.322 } } }

return trial {
  title     = "the intervals of differences hold the truth, by meters that are off",
  procedure = "chart",
  params    = { delay = 4, colours = 64 },
  world     = {
    ["limit.curve"] = {}, ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {}, modes = off, mode = "Off",
    ["light.black"] = 0, meter = { scale = 1, xy = 0.001, dark = 0.001 },
  },
  draws     = 100,
  expect    = {
    ["average-delta-e2000"] = { truth = 2.307, within = 0.2, covers = 0.7 },
    ["median-delta-e2000"]  = { truth = 2.3101, within = 0.2, covers = 0.7 },
    ["maximum-delta-e2000"]   = { truth = 3.4546, within = 0.6, covers = 0.7 },
  },
  seeds = 10,
}

-- The display of chart-differences, whose truths are known, with meters that have
-- errors: the intervals of average and median hold the truth as often as they should.
-- The maximum is the largest of many differences; its interval does in nine of ten.
local off = { { name = "Off", tone = "power", exponent = 2.4, gamut = "bt709", white = { 0.305, 0.322 } } }

return trial {
  title     = "the intervals of differences hold the truth, with meters that have errors",
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

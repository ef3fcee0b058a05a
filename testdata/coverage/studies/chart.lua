-- Differences of a display with another exponent and another white, seen against
-- its own. The truths are those of the trial chart-differences.
local off = { { name = "Off", tone = "power", exponent = 2.4, gamut = "bt709", white = { 0.305, 0.322 } } }
return trial {
  procedure = "chart",
  params    = { delay = 4, colours = 64 },
  worlds    = {
    ["steady"]     = { meter = { scale = 1, xy = 0.001, dark = 0.001, dark_drift = 0 }, ["limit.curve"] = {}, ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {},
      modes = off, mode = "Off", ["light.black"] = 0 },
    ["as shipped"] = { ["meter.scale"] = 1, ["meter.xy"] = 0.001, ["meter.dark"] = 0.001, modes = off, mode = "Off", ["light.black"] = 0 },
  },
  draws     = 100,
  expect    = {
    ["average-delta-e2000"] = { truth = 2.307, within = 10 },
    ["median-delta-e2000"]  = { truth = 2.3101, within = 10 },
    ["maximum-delta-e2000"]   = { truth = 3.4546, within = 10 },
  },
}

-- The error of the meter's scale is in all luminances, that of its dark level is in
-- black, and neither is in the gamma. Drift of the panel is no part of an interval, so
-- this panel does not drift.
return trial {
  title     = "the intervals of gamma, white and black hold the truth, with meters that have errors",
  procedure = "tone-response",
  params    = { steps = 8 },
  world     = {
    ["light.black"] = 0.05, ["limit.curve"] = {}, ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {},
    meter = { scale = 1, xy = 0.001, dark = 0.002 },
  },
  draws     = 150,
  expect    = {
    ["gamma"]           = { truth = "tone.exponent", within = 0.005, covers = 0.75 },
    ["white-luminance"] = { truth = { luminance = { window = 10 } }, within = 4, unit = "%", covers = 0.75 },
    ["black-luminance"] = { truth = "light.black", within = 0.01, covers = 0.75 },
  },
}

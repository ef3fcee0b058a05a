-- The meter's scale is in the luminances, its dark level in black, neither in the
-- exponent. A panel that drifts while it is read is no part of an interval: this
-- one does not.
return trial {
  title     = "the intervals of exponent, white and black hold the truth, by meters that are off",
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

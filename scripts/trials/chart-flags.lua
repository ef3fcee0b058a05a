-- No chart is stated from readings that are not what the panel shows: white saturates
-- the meter, or no window fills its field of view. Where the field of view is smaller
-- than the window, the chart is stated.
local plain = { { name = "Plain", tone = "as_stated", gamut = "bt709", white = { 0.3127, 0.329 } } }

return trial {
  title     = "no chart from readings that are not what the panel shows",
  procedure = "chart",
  params    = { delay = 4, colours = 64 },
  worlds    = {
    ["saturated white"] = { base = "default", modes = plain, mode = "Plain", ["meter.saturation"] = 300 },
    ["underfilled"]     = { base = "default", modes = plain, mode = "Plain", ["meter.field"] = 15, ["meter.sees_field"] = "yes" },
    ["filled"]          = { base = "default", modes = plain, mode = "Plain", ["meter.field"] = 5, ["meter.sees_field"] = "yes" },
  },
  expect = {
    ["average-delta-e2000"]    = { truth = 0, within = 0.2, or_not_evaluated = true },
    ["maximum-delta-e2000"]      = { truth = 0, within = 1.5, or_not_evaluated = true },
    ["share-above-threshold"] = { truth = 0, within = 0, or_not_evaluated = true },
    ["bias-of-average-delta-e2000"]       = { truth = 0, within = 0.1, or_not_evaluated = true },
    ["white-luminance"]       = {
      truth = { luminance = { window = 10 } }, within = 0.6, unit = "%", bound = "lower", bound_within = 50, or_not_evaluated = true,
    },
  },
  seeds = 5,
}

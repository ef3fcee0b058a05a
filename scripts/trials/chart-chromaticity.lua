-- A panel that limits its power shows bright colours too dark, but with the right
-- chromaticity. Where luminance does not count, there is no difference.
local limits = { { 0, 1 }, { 1, 0.2 } }
local plain = { { name = "Plain", tone = "as_stated", gamut = "bt709", white = { 0.3127, 0.329 } } }

return trial {
  title     = "no difference of chromaticity where only the luminance is wrong",
  procedure = "chart",
  params    = { delay = 4, luminance_counts = false, colours = 64, window = 60 },
  worlds    = {
    ["limits hard"] = {
      base = "default", modes = plain, mode = "Plain", ["limit.curve"] = limits, ["light.hdr_peak"] = 480, ["light.black"] = 0,
    },
    ["no noise"]    = {
      base = "ideal", modes = { { name = "Plain", tone = "power", exponent = 2.2, gamut = "bt709", white = { 0.3127, 0.329 } } },
      mode = "Plain", ["limit.curve"] = limits, ["light.hdr_peak"] = 100,
    },
  },
  expect = {
    ["average-delta-e2000"]    = { truth = 0, within = 0.1 },
    ["maximum-delta-e2000"]      = { truth = 0, within = 0.5 },
    ["share-above-threshold"] = { truth = 0, within = 0 },
    ["bias-of-average-delta-e2000"]       = { truth = 0, within = 0.1 },
  },
}

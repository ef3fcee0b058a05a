-- Where the display shows its colours as they should be, there is no difference, with
-- any panel. What is left is the drift of the panels while they cool, up to 0.25 % in
-- luminance and 0.0003 in u'v', a tenth in difference, and the noise of dark
-- colours.
local plain = { { name = "Plain", tone = "as_stated", gamut = "bt709", white = { 0.3127, 0.329 } } }

return trial {
  title     = "no difference where the display shows BT.709 with the target gamma",
  procedure = "chart",
  params    = { delay = 4 },
  worlds    = {
    ["phone"]           = { base = "default", modes = plain, mode = "Plain" },
    ["white subpixels"] = {
      base = "fulmar-55", modes = plain, mode = "Plain",
      ["tone.kind"] = "power", ["tone.exponent"] = 2.2, ["primaries.white_boost"] = 0,
    },
    ["lit from behind"] = { base = "dunlin-27", modes = plain, mode = "Plain", ["tone.kind"] = "power", ["tone.exponent"] = 2.2 },
    ["grey black"]      = {
      base = "dunlin-27", modes = plain, mode = "Plain", ["tone.kind"] = "power", ["tone.exponent"] = 2.2, ["light.black"] = 3,
    },
    ["no noise"]        = { base = "ideal", modes = plain, mode = "Plain", ["tone.kind"] = "power", ["tone.exponent"] = 2.2 },
  },
  expect = {
    ["average-delta-e2000"]       = { truth = 0, within = 0.1 },
    ["median-delta-e2000"]        = { truth = 0, within = 0.1 },
    ["95th-percentile-delta-e2000"] = { truth = 0, within = 0.25 },
    ["maximum-delta-e2000"]         = { truth = 0, within = 0.5 },
    ["share-above-threshold"]    = { truth = 0, within = 0 },
    ["bias-of-average-delta-e2000"]          = { truth = 0, within = 0.1 },
    ["white-luminance"]          = { truth = { luminance = { window = 10 } }, within = 0.6, unit = "%" },
  },
}

-- P3 with the white of the space as reference, and BT.1886 between white and a black
-- that is in the targets as it is in the display. All of P3 lies inside these panels.
-- Black can be read, or there is none; chart-bt1886-dark has one that cannot be read.
-- The white of the space does not move with the panel's, so the phone's drift in
-- colour, 0.0003 in u'v', is in all colours: 0.1 on average, 0.3 in saturated ones. The
-- maximum of these scatters by 0.09.
local plain = { { name = "Plain", tone = "bt1886", gamut = "p3", white = { 0.3127, 0.329 } } }
local red, green = { 640, 15 }, { 528, 15 }

return trial {
  title     = "no difference where the display shows P3 with BT.1886",
  procedure = "chart",
  params    = { delay = 4, space = "p3-d65", target = "bt1886", white = "target", colours = 64 },
  worlds    = {
    ["phone"]           = {
      base = "default", modes = plain, mode = "Plain", ["light.black"] = 0.05,
      ["primaries.red"] = red, ["primaries.green"] = green,
    },
    ["white subpixels"] = {
      base = "fulmar-55", modes = plain, mode = "Plain",
      ["primaries.red"] = red, ["primaries.green"] = green, ["primaries.white_boost"] = 0, ["light.black"] = 0.02,
    },
    ["lit from behind"] = { base = "dunlin-27", modes = plain, mode = "Plain", ["primaries.red"] = red, ["primaries.green"] = green },
    ["no noise"]        = { base = "ideal", modes = plain, mode = "Plain", ["primaries.red"] = red, ["primaries.green"] = green },
  },
  expect = {
    ["average-delta-e2000"]       = { truth = 0, within = 0.13 },
    ["95th-percentile-delta-e2000"] = { truth = 0, within = 0.4 },
    ["maximum-delta-e2000"]         = { truth = 0, within = 0.65 },
    ["share-above-threshold"]    = { truth = 0, within = 0 },
    ["bias-of-average-delta-e2000"]          = { truth = 0, within = 0.1 },
  },
}

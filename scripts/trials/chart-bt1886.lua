-- The same of P3 against the white of the space, with BT.1886 between white and
-- a black that lifts the targets as it lifts the display. The panels are such
-- that all of P3 lies inside them. Black can be read, or there is none; see
-- chart-bt1886-dark for one that cannot. The white of the space does not move with
-- the panel's, so that the phone's drift in colour, 0.0003 in u'v', shows in all
-- colours: 0.1 on average, 0.3 in what is saturated.
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
    ["maximum-delta-e2000"]         = { truth = 0, within = 0.5 },
    ["share-above-threshold"]    = { truth = 0, within = 0 },
    ["bias-of-average-delta-e2000"]          = { truth = 0, within = 0.1 },
  },
}

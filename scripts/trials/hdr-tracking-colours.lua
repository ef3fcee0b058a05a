-- Displays that show BT.2020 signals right and cover all of P3 but its red, which lies
-- on the edge of BT.2020: that is off by up to 2.
local wide = { { name = "Wide", tone = "as_stated", gamut = "bt2020", white = { 0.3127, 0.329 } } }
local red, green = { 640, 15 }, { 528, 15 }

return trial {
  title     = "no difference of P3 colours where the display shows BT.2020",
  procedure = "hdr-tracking",
  params    = { delay = 4, window = 5, levels = { 20, 200 } },
  worlds    = {
    ["phone"]           = {
      base = "default", modes = wide, mode = "Wide", ["primaries.white"] = { 0.3127, 0.329 },
      ["primaries.red"] = red, ["primaries.green"] = green,
    },
    ["white subpixels"] = {
      base = "fulmar-55", modes = wide, mode = "Wide", ["primaries.white"] = { 0.3127, 0.329 },
      ["primaries.red"] = red, ["primaries.green"] = green, ["primaries.white_boost"] = 0,
    },
    ["no noise"]        = {
      base = "ideal", modes = wide, mode = "Wide", ["light.hdr_peak"] = 1500, ["primaries.red"] = red, ["primaries.green"] = green,
    },
  },
  expect = {
    ["average-colour-delta-e-itp"] = { truth = 0, within = 0.6 },
    ["maximum-colour-delta-e-itp"]   = { truth = 0, within = 2.5 },
    ["average-tracking-error"]   = { truth = 0, within = 0.5 },
  },
}

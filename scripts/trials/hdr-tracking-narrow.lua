-- Displays that treat a BT.2020 signal as BT.709 show its colours too pale, by amounts
-- that were computed independently from the primaries, ST 2084 and ITU-R BT.2124
-- (testdata/crosscheck/procedures.py): 24.031 on average, 77.420 at most. The drift of
-- the panels is 0.2 in ITP; twice that is allowed for the maximum.
local narrow = { { name = "Narrow", tone = "as_stated", gamut = "bt709", white = { 0.3127, 0.329 } } }

return trial {
  title     = "differences of P3 colours where the display treats the signal as BT.709",
  procedure = "hdr-tracking",
  params    = { delay = 4, window = 5, levels = { 20, 200 } },
  worlds    = {
    ["phone"]           = { base = "default", modes = narrow, mode = "Narrow", ["primaries.white"] = { 0.3127, 0.329 } },
    ["white subpixels"] = {
      base = "fulmar-55", modes = narrow, mode = "Narrow", ["primaries.white"] = { 0.3127, 0.329 }, ["primaries.white_boost"] = 0,
    },
    ["no noise"]        = { base = "ideal", modes = narrow, mode = "Narrow" },
  },
  expect = {
    ["average-colour-delta-e-itp"] = { truth = 24.031, within = 0.2 },
    ["maximum-colour-delta-e-itp"]   = { truth = 77.42, within = 0.4 },
    ["average-tracking-error"]   = { truth = 0, within = 0.5 },
  },
}

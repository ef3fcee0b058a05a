-- Where the meter cannot read black, BT.1886's targets hang on what black is
-- taken for. Taken as zero in place of 0.0008 cd/m2, at a white of 480, they are
-- off by 0.159 on average and 0.277 at most (computed apart,
-- testdata/crosscheck/procedures.py); noise and drift add up to 0.05,
-- and 0.1 to what is largest.
local plain = { { name = "Plain", tone = "bt1886", gamut = "p3", white = { 0.3127, 0.329 } } }

return trial {
  title     = "what a black that cannot be read leaves open",
  procedure = "chart",
  params    = { delay = 4, space = "p3-d65", target = "bt1886", white = "target", colours = 64 },
  worlds    = {
    ["phone"] = {
      base = "default", modes = plain, mode = "Plain", ["primaries.red"] = { 640, 15 }, ["primaries.green"] = { 528, 15 },
    },
  },
  expect = {
    ["average-delta-e2000"]       = { truth = 0.159, within = 0.07 },
    ["95th-percentile-delta-e2000"] = { truth = 0.261, within = 0.15 },
    ["share-above-threshold"]    = { truth = 0, within = 0 },
  },
}

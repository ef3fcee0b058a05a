-- Where the meter cannot read black, the targets of BT.1886 depend on which black is
-- assumed. With zero in place of 0.0008 cd/m2, and a white of 480 cd/m2, they are off
-- by 0.159 on average and 0.277 at most (computed independently,
-- testdata/crosscheck/procedures.py). Noise and drift add up to 0.05, and 0.1 to the
-- maximum.
local plain = { { name = "Plain", tone = "bt1886", gamut = "p3", white = { 0.3127, 0.329 } } }

return trial {
  title     = "the difference that remains where black cannot be read",
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
